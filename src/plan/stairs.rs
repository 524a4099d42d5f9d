//! Flights of stairs: where a person changes from one level to another.

use geo::{Euclidean, Length};

use super::feature::Feature;
use super::fields::Fields;
use super::frame::Frame;
use super::limits::MIN_SEGMENT_M;
use super::{Level, Stairs};

impl Frame<'_> {
    pub(super) fn stairs(&mut self, feature: &Feature<'_>) -> Option<Stairs> {
        let fields = &feature.properties;
        let level = self.required_level(fields);
        let to = self.far_level(fields, level.as_ref());
        let shape = feature.shape.as_ref()?;
        let line = shape.line()?;
        if self.lengths_make_sense && Euclidean.length(line) < MIN_SEGMENT_M {
            let what = "the stairs have no length";
            let fix = "draw the line that people walk, from the first step to the last";
            self.faults.fault(shape.place(0, 1), Some(&feature.id), || (what, fix));
            return None;
        }
        Some(Stairs {
            id: feature.id.clone(),
            level: level?.number,
            to_level: to?.number,
            line: line.clone(),
        })
    }

    /// The level at which stairs end: what the member `to` names, else the next above `level`.
    fn far_level(&mut self, fields: &Fields<'_>, level: Option<&Level>) -> Option<Level> {
        let named = fields.value("to").is_some();
        let to = if named {
            self.named_level(fields, "to")?
        } else {
            let level = level?;
            let above = self.levels.iter().filter(|other| other.floor_m > level.floor_m);
            let above = above.min_by(|a, b| a.floor_m.total_cmp(&b.floor_m));
            let Some(above) = above.cloned() else {
                let (number, all) = (level.number, self.level_numbers());
                let fix = if self.levels.len() == 1 {
                    "add the other level to \"levels\", or remove the stairs".to_owned()
                } else {
                    format!("give the level below in \"to\", one of {all}")
                };
                let what = format!("no level is above level {number}, so the stairs lead nowhere");
                self.faults.fault(fields.at, fields.feature.as_deref(), || (what, fix));
                return None;
            };
            above
        };
        if level.is_some_and(|level| level.number == to.number) {
            let what = format!("the stairs begin and end on level {}", to.number);
            let fix = "give the other level in \"to\"; leave out steps within one level";
            fields.fault("to", &mut self.faults, || (what, fix));
            return None;
        }
        Some(to)
    }
}
