//! A plan made ready for a run: traced scene, surfaces at every frequency in use, listeners.

use std::collections::BTreeMap;

use geo::Contains as _;
use thiserror::Error;

use super::fault::{FaultCurves, Timing};
use super::ledger::{LinkOverride, resolve_link};
use super::model::{Edges, Model, SCATTERED_SIGMA, SHADOWING_SIGMA};
use super::paths::View;
use super::sum::ListenerEnd;
use super::surfaces::{SurfaceNames, Surfaces};
use plan::{Device, DeviceKind, LinkChoice, Plan, nearest, quoted};
use radio::{self, Link};
use trace::{ImageTree, Point, Scene, TOUCH_M, TooManyImages, dot};
use units::{Db, Hertz, PowerRatio};

/// Most cells of one heatmap; a finer cell is refused before it eats the memory: 4 million cells
/// of 0.1 m cover 200 m by 200 m.
pub(crate) const MAX_CELLS: usize = 4_000_000;

/// Why a plan cannot be assessed.
#[derive(Debug, Error, Clone, PartialEq, Eq)]
pub enum SiteError {
    /// There is nothing that listens.
    #[error(
        "the plan has no panel; add a feature of kind \"panel\", or let `drillonce place` find a spot"
    )]
    NoPanel,
    /// A link's name is not in the catalogue.
    #[error(
        "link {} is not known; {hint}`drillonce catalogue` lists the links",
        quoted(.0), hint = nearest_link(.0)
    )]
    UnknownLink(String),
    /// The heatmap would have too many cells.
    #[error(
        "the heatmap of level {level} would have {cells} cells, more than {MAX_CELLS}; \
         give a larger --cell"
    )]
    TooManyCells {
        /// The level's number.
        level: i32,
        /// The cells that it would have.
        cells: usize,
    },
    /// Too many reflected paths.
    #[error(transparent)]
    TooManyImages(#[from] TooManyImages),
}

fn nearest_link(name: &str) -> String {
    let known: Vec<&str> = radio::links().iter().map(|link| link.name.as_str()).collect();
    let near = nearest(name, known);
    near.map_or_else(String::new, |near| format!("did you mean \"{near}\"? "))
}

/// What each device and area of a plan chooses.
fn link_choices(plan: &Plan) -> impl Iterator<Item = Option<&LinkChoice>> {
    let devices = plan.devices.iter().map(|device| device.link.as_ref());
    devices.chain(plan.roams.iter().map(|roam| roam.link.as_ref()))
}

/// A receiver that sensors may reach: the panel, or a repeater.
#[derive(Debug, Clone)]
pub struct Listener {
    /// Its device.
    pub device: Device,
    /// The images of a transmitter at its place; by reciprocity they serve for receiving.
    pub tree: ImageTree,
}

/// A plan made ready for a run.
#[derive(Debug)]
pub struct Site<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// The settings.
    pub model: Model,
    /// What the user changes of every link.
    pub over: LinkOverride,
    /// The plan as the tracer sees it.
    pub scene: Scene,
    /// The panel.
    pub panel: Listener,
    /// The repeaters, in plan order.
    pub repeaters: Vec<Listener>,
    surfaces: BTreeMap<u64, Surfaces>,
    curves: BTreeMap<(u64, u64, u32), FaultCurves>,
}

impl<'a> Site<'a> {
    /// Makes a plan ready. `panel` replaces the plan's panel. Of a calibration in the plan, what it
    /// says of walls and devices is used; what it says of the site offset is in the model if
    /// [`Model::calibrated`] put it there.
    ///
    /// # Errors
    /// [`SiteError`]: no panel, an unknown link, too many reflected paths.
    pub fn new(
        plan: &'a Plan,
        model: Model,
        over: LinkOverride,
        panel: Option<Device>,
    ) -> Result<Self, SiteError> {
        let names = SurfaceNames::new(plan);
        let scene = Scene::new(plan, &|name| names.facts(name));
        let listener = |device: Device| -> Result<Listener, SiteError> {
            let tree = ImageTree::new(&scene, device.position, model.reflections)?;
            Ok(Listener { device, tree })
        };
        let panel = panel.or_else(|| plan.panel().cloned()).ok_or(SiteError::NoPanel)?;
        let panel = listener(panel)?;
        let repeaters = plan
            .devices
            .iter()
            .filter(|device| device.kind == DeviceKind::Repeater)
            .map(|device| listener(device.clone()))
            .collect::<Result<Vec<_>, _>>()?;
        let mut site = Self {
            plan,
            model,
            over,
            scene,
            panel,
            repeaters,
            surfaces: BTreeMap::new(),
            curves: BTreeMap::new(),
        };
        site.prepare(&names)?;
        Ok(site)
    }

    fn prepare(&mut self, names: &SurfaceNames) -> Result<(), SiteError> {
        for choice in link_choices(self.plan).chain([None]) {
            let link = self.link(choice)?;
            let model = &self.model;
            self.surfaces
                .entry(link.frequency.0.to_bits())
                .or_insert_with(|| Surfaces::new(self.plan, names, link.frequency, model));
            self.curves
                .entry(Timing::of(&link).key())
                .or_insert_with(|| FaultCurves::new(Timing::of(&link), model));
        }
        Ok(())
    }

    /// The link of a device or area that chooses `own`; the plan's for `None`.
    ///
    /// # Errors
    /// [`SiteError::UnknownLink`].
    pub fn link(&self, own: Option<&LinkChoice>) -> Result<Link, SiteError> {
        resolve_link(self.plan, own, &self.over).ok_or_else(|| {
            let named = self.over.link.clone();
            let own = own.and_then(|choice| choice.like.clone());
            let chosen = own.or(named).or_else(|| self.plan.link.as_ref()?.like.clone());
            SiteError::UnknownLink(chosen.unwrap_or_default())
        })
    }

    /// The scene at a frequency in use; `None` at any other.
    #[must_use]
    pub fn view(&self, frequency: Hertz) -> Option<View<'_>> {
        let surfaces = self.surfaces.get(&frequency.0.to_bits())?;
        Some(View {
            scene: &self.scene,
            surfaces,
            model: &self.model,
            at_least: false,
            listener: ListenerEnd::Near,
        })
    }

    /// The middle of the spot in which a device hangs, half a wavelength about where it is drawn as
    /// far as it is air: its forecast is the mean over that spot. With sharp edges, for rays alone,
    /// it is where it is drawn.
    #[must_use]
    pub fn spot_of(&self, device: &Device, frequency: Hertz) -> Point {
        if self.model.openings == Edges::Sharp {
            return device.position;
        }
        let half_wave_m = frequency.wavelength().0 / 2.0;
        self.scene.middle_of_air(device.position, device.height_m, half_wave_m)
    }

    /// The chance of a fault against the margin, for the timing of a link in use.
    #[must_use]
    pub fn fault_curves(&self, link: &Link) -> Option<&FaultCurves> {
        self.curves.get(&Timing::of(link).key())
    }

    /// What is doubtful about the constructions' values and the devices' places, for people.
    #[must_use]
    pub fn warnings(&self) -> Vec<String> {
        let mut all: Vec<String> =
            self.surfaces.values().flat_map(|s| s.warnings.iter().cloned()).collect();
        all.sort();
        all.dedup();
        all.extend(self.doubtful_links());
        all.extend(self.plan.devices.iter().filter_map(|device| self.doubtful_place(device)));
        all
    }

    /// What is doubtful about the links: windows that no check-in falls into, and devices that what
    /// the user changes does not reach.
    fn doubtful_links(&self) -> Vec<String> {
        let mut found = Vec::new();
        for choice in [None].into_iter().chain(link_choices(self.plan)) {
            let Ok(link) = self.link(choice) else {
                continue;
            };
            if link.window_min < link.checkin_min {
                let text = format!(
                    "link {}: the supervision window of {} min is shorter than the {} min between \
                     check-ins, so every device would count as lost",
                    link.name, link.window_min, link.checkin_min
                );
                if !found.contains(&text) {
                    found.push(text);
                }
            }
        }
        let over = &self.over;
        let keeps = |choice: &Option<&LinkChoice>| {
            choice.is_some_and(|own| {
                (over.link.is_some() && own.like.is_some())
                    || (over.frequency.is_some()
                        && (own.like.is_some() || own.frequency_mhz.is_some()))
            })
        };
        let kept = link_choices(self.plan).filter(keeps).count();
        if kept > 0 {
            found.push(format!(
                "{kept} device{} or area{} with a link of {} own: --link and --frequency do not \
                    change it",
                if kept == 1 { "" } else { "s" },
                if kept == 1 { "" } else { "s" },
                if kept == 1 { "its" } else { "their" },
            ));
        }
        found
    }

    /// A device on a wall's centre line, away from its openings, could hang on either face; one
    /// inside an obstacle is probably drawn in the wrong place.
    fn doubtful_place(&self, device: &Device) -> Option<String> {
        let (at, height) = (device.position, device.height_m);
        let on_wall = self.scene.screens.iter().find(|screen| {
            let s = dot(screen.along, at - screen.start);
            screen.block.is_none()
                && screen.offset(at).abs() <= TOUCH_M
                && screen.part_at(s, height) == Some(screen.body)
        });
        if let Some(screen) = on_wall {
            return Some(format!(
                "{} is drawn in the middle of wall {} and taken as on the face towards the panel; \
                 draw it on its own face",
                device.id, self.scene.features[screen.body.feature as usize]
            ));
        }
        let inside = self.plan.obstacles.iter().find(|obstacle| {
            obstacle.outline.contains(&at) && (obstacle.base_m..obstacle.top_m).contains(&height)
        });
        inside.map(|obstacle| {
            format!("{} is inside obstacle {}; move one of them", device.id, obstacle.id)
        })
    }

    /// Standard deviation of the static spread of a device whose direct path crosses walls with a
    /// spread whose squares sum to `walls_db2`, and brings the share `direct` (0 to 1) of the
    /// received power, of which the share `scattered` (0 to 1) is scattered.
    ///
    /// Shadowing and the luck of the spot are independent, so their squares add. Shadowing, unless
    /// the user set it, is [`SHADOWING_SIGMA`], which already holds the spread of walls and site; a
    /// path through so many walls that their own spreads exceed it takes those instead. What other
    /// paths bring does not depend on those walls, and a sum of powers varies in decibels by each
    /// part's own variation times its share: hence the factor. By the same rule what is scattered
    /// brings what [`SCATTERED_SIGMA`] is wider.
    #[must_use]
    pub fn static_sigma(&self, walls_db2: f64, direct: PowerRatio, scattered: PowerRatio) -> Db {
        let spot = self.model.spot_sigma_db.0;
        let shadowing = self.model.sigma_db.map_or_else(
            || {
                let share = direct.0.clamp(0.0, 1.0);
                let site = self.model.site_sigma_db.0;
                let known = (share * share * walls_db2 + site * site).sqrt().max(SHADOWING_SIGMA.0);
                let wider = SCATTERED_SIGMA.0.powi(2) - SHADOWING_SIGMA.0.powi(2);
                known.hypot(scattered.0.clamp(0.0, 1.0) * wider.sqrt())
            },
            |sigma| sigma.0,
        );
        Db(shadowing.hypot(spot))
    }

    /// Standard deviation of the static spread of a path that crosses nothing.
    #[must_use]
    pub fn clear_sigma(&self) -> Db {
        self.static_sigma(0.0, PowerRatio(1.0), PowerRatio(0.0))
    }

    /// The listeners: the panel, then the repeaters.
    pub fn listeners(&self) -> impl Iterator<Item = &Listener> {
        std::iter::once(&self.panel).chain(&self.repeaters)
    }
}
