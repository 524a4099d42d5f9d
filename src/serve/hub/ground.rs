//! The picture under the plan: laid there, squared up, looked at for walls.

use std::sync::PoisonError;

use axum::body::Bytes;
use axum::http::HeaderMap;
use geo::Coord;
use serde_json::{Value, json};

use super::Hub;
use crate::ground::kept;
use crate::message::{Asked, Refusal};
use crate::outbox::Slot;
use crate::outbox::TabNumber;
use forecast::vocabulary;
use import::pdf::{is_pdf, painted};
use import::picture::{
    MAX_PICTURE_BYTES, Picture, Square, Trouble, after, inverse, of_picture, put,
};
use import::{Known, Settings};
use plan::edit::{Change, edited_leniently};
use plan::{Backdrop, OPACITY};

/// How wide a picture is laid down where nothing is drawn yet, metres: a small house.
const WIDE_M: f64 = 12.0;
/// Most of what is seen in a picture that a page is sent.
const MOST_TRACED: usize = 2_000;

fn refusal((what, fix): Trouble) -> Refusal {
    Refusal::new(what, fix)
}

impl Hub {
    /// The picture at an address.
    #[must_use]
    pub(crate) fn ground_at(&self, path: &str) -> Option<(HeaderMap, Bytes)> {
        self.state().ground.as_ref()?.get(path)
    }

    /// Takes a piece of a picture or PDF; with the last one it is laid under the plan: one step of
    /// undo.
    pub(crate) fn piece(&self, number: TabNumber, piece: &[u8]) {
        // Who may have walls traced may lay the picture down.
        if !self.may(number, &Asked::Trace {}) {
            return;
        }
        let laid = self.pieces.take(number, piece).and_then(|whole| {
            let Some((bytes, (level, page))) = whole else { return Ok(()) };
            let _one = self.pieces.at_work.lock().unwrap_or_else(PoisonError::into_inner);
            let (picture, pages) = if is_pdf(&bytes) {
                let painted = painted(&bytes, page).map_err(refusal)?;
                (painted.picture, painted.pages)
            } else {
                (Picture::read(&bytes).map_err(refusal)?, 1)
            };
            drop(bytes);
            let bounds = self.state().drawn.bounds();
            let (columns, rows) = picture.size();
            let wide_m = bounds.map(|[x0, _, x1, _]| x1 - x0).filter(|wide| *wide > 1.0);
            let metres = wide_m.unwrap_or(WIDE_M) / f64::from(columns);
            let [west, south, ..] = bounds.unwrap_or([0.0; 4]);
            let transform = [metres, 0.0, west, 0.0, -metres, south + f64::from(rows) * metres];
            self.lay(number, &picture, transform, (OPACITY, level))?;
            let state = self.state();
            let frame = state.note("laid", json!({ "page": page, "pages": pages }));
            state.to_one(number, Slot::Answer("laid"), &frame);
            Ok(())
        });
        if let Err(why) = laid {
            self.refuse(number, &why);
        }
    }

    /// Keeps a picture beside the plan and lays it under it.
    fn lay(
        &self,
        number: TabNumber,
        picture: &Picture,
        transform: [f64; 6],
        (opacity, level): (f64, i32),
    ) -> Result<(), Refusal> {
        let (bytes, ending) = picture.encoded().map_err(refusal)?;
        if bytes.len() > MAX_PICTURE_BYTES {
            let what = "made anew, the picture is larger than can be shown";
            return Err(Refusal::new(what, "make it smaller, or cut it to the floor plan"));
        }
        let mut state = self.state();
        let name = state.copy.name().unwrap_or_default();
        let name = name.rsplit_once('.').map_or(name.as_str(), |(stem, _)| stem).to_owned();
        let file = kept(state.copy.folder(), &name, &bytes, ending);
        let file = file.map_err(|why| {
            Refusal::new(format!("the picture cannot be kept beside the plan: {why}"), "make room")
        })?;
        let change = Change::Backdrop(Some(Backdrop { file, transform, opacity, level }));
        let text = edited_leniently(state.session.text(), &[change])
            .map_err(|why| Refusal::new(why.to_string(), why.fix()))?;
        state.session.step_to(text);
        self.text_changed(&mut state, number, 0);
        self.news.notify_all();
        Ok(())
    }

    /// The picture under the plan, and its file's bytes.
    fn ground(&self) -> Result<(Backdrop, Bytes), Refusal> {
        let state = self.state();
        let picture = state.drawn.backdrop.clone();
        let bytes = state.ground.as_ref().and_then(|ground| ground.bytes());
        let none = || Refusal::new("there is no picture under the plan", "choose one first");
        picture.zip(bytes).ok_or_else(none)
    }

    /// Squares the picture up: one step of undo.
    pub(super) fn square(
        &self,
        number: TabNumber,
        corners: [[f64; 2]; 4],
        size_m: Option<[f64; 2]>,
    ) {
        let squared = self.ground().and_then(|(backdrop, bytes)| {
            let _one = self.pieces.at_work.lock().unwrap_or_else(PoisonError::into_inner);
            let size_m = size_m.filter(|size| size.iter().all(|one| *one > 0.0 && *one < 1e4));
            let picture = Picture::read(&bytes).map_err(refusal)?;
            let square = Square { corners, size_m };
            let squared = square.squared(&picture).map_err(refusal)?;
            let [[left, top], [right, bottom]] = squared.rectangle;
            // The middle stays where it is, and so does the width where nobody says another.
            let there = corners.map(|[x, y]| put(backdrop.transform, Coord { x, y }));
            let far = |a: Coord<f64>, b: Coord<f64>| (b.x - a.x).hypot(b.y - a.y);
            let wide_m = f64::midpoint(far(there[0], there[1]), far(there[3], there[2]));
            let metres = squared.metres_per_pixel.unwrap_or(wide_m / (right - left));
            let middle = there.into_iter().fold(Coord::zero(), |sum, at| sum + at * 0.25);
            let (column, row) = (f64::midpoint(left, right), f64::midpoint(top, bottom));
            let (x, y) = (middle.x - metres * column, middle.y + metres * row);
            let transform = [metres, 0.0, x, 0.0, -metres, y];
            self.lay(number, &squared.picture, transform, (backdrop.opacity, backdrop.level))
        });
        if let Err(why) = squared {
            self.refuse(number, &why);
        }
    }

    /// Says what walls and openings the picture shows; the plan stays as it is.
    pub(super) fn trace(&self, number: TabNumber) {
        match self.traced() {
            Ok(features) => {
                let state = self.state();
                let frame = state.note("traced", json!({ "features": features }));
                state.to_one(number, Slot::Answer("traced"), &frame);
            }
            Err(why) => self.refuse(number, &why),
        }
    }

    fn traced(&self) -> Result<Vec<Value>, Refusal> {
        let (backdrop, bytes) = self.ground()?;
        let _one = self.pieces.at_work.lock().unwrap_or_else(PoisonError::into_inner);
        let picture = Picture::read(&bytes).map_err(refusal)?;
        let [a, b, _, d, e, _] = backdrop.transform;
        let metres = (a * e - b * d).abs().sqrt();
        let known = Known { vocabulary: vocabulary() };
        let settings = Settings { known, ..Settings::default() };
        let found = of_picture(&backdrop.file, &picture, metres, &settings);
        let (draft, drafted) = found.map_err(|faults| {
            let first = faults.into_iter().next();
            let (what, fix) = first.map(|fault| (fault.what, fault.fix)).unwrap_or_default();
            Refusal::new(what, fix)
        })?;
        let back = inverse(drafted).map(|back| after(backdrop.transform, back));
        let text: Value = serde_json::from_str(&draft.text()).unwrap_or_default();
        let features = text["features"].as_array().cloned().unwrap_or_default();
        let into = back.unwrap_or([1.0, 0.0, 0.0, 0.0, 1.0, 0.0]);
        let features = features.into_iter().take(MOST_TRACED).map(|mut feature| {
            if let Some(line) = feature["geometry"]["coordinates"].as_array_mut() {
                for at in line {
                    let of = |axis: usize| at[axis].as_f64().unwrap_or_default();
                    let there = put(into, Coord { x: of(0), y: of(1) });
                    let rounded = |metres: f64| (metres * 1e3).round() / 1e3 + 0.0;
                    *at = json!([rounded(there.x), rounded(there.y)]);
                }
            }
            feature["properties"]["level"] = backdrop.level.into();
            if let Some(members) = feature.as_object_mut() {
                members.remove("id");
            }
            feature
        });
        Ok(features.collect())
    }
}
