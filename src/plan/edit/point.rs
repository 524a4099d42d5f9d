//! A feature that is drawn as a point hung elsewhere.

use geo::Coord;

use super::super::Plan;
use super::super::feature::Named;
use super::super::fields::Fields;
use super::super::layout::{Layout, Node};
use super::super::shape::MAX_ORDINATES;
use super::super::splice::{Splice, written};
use super::super::unit::thousandths;
use super::error::EditError;
use super::properties::set_in;

/// Where a thing shall hang, in the plan's own unit, rounded to a thousandth of it.
pub(super) struct Place {
    level: Option<i32>,
    x: f64,
    y: f64,
    /// Above the level's floor.
    height: Option<f64>,
}

impl Place {
    /// A place in metres, on one of the levels of a plan.
    pub(super) fn of(
        sheet: &Plan,
        level: Option<i32>,
        position: Coord<f64>,
        height_m: Option<f64>,
    ) -> Result<Self, EditError> {
        if let Some(level) = level.filter(|level| sheet.level(*level).is_none()) {
            return Err(EditError::NoLevel(level));
        }
        let in_unit = |metres: f64| {
            let number = thousandths(metres / sheet.metres_per_unit);
            if number.is_finite() { Ok(number) } else { Err(EditError::NotFinite) }
        };
        let (x, y) = (in_unit(position.x)?, in_unit(position.y)?);
        Ok(Self { level, x, y, height: height_m.map(in_unit).transpose()? })
    }

    /// The members of a new feature that hangs there: its geometry, and the properties that say on
    /// which level and how high.
    pub(super) fn members(&self) -> (Node, Vec<(&'static str, Node)>) {
        let geometry =
            [("type", Node::text("Point")), ("coordinates", Node::position(self.x, self.y))];
        (Node::object(geometry), self.properties().collect())
    }

    fn properties(&self) -> impl Iterator<Item = (&'static str, Node)> {
        let level = self.level.map(|level| ("level", Node::Leaf(level.to_string())));
        let height = self.height.map(|height| ("height", Node::Leaf(written(height))));
        level.into_iter().chain(height)
    }

    /// What moves a feature there.
    pub(super) fn splices(
        &self,
        text: &str,
        feature: &Named<'_>,
        sheet: &Plan,
    ) -> Result<Vec<Splice>, EditError> {
        let no_point = || EditError::NoPoint(feature.id.clone());
        let geometry = feature.fields.value("geometry").map(Fields::quietly);
        let geometry = geometry.ok_or_else(no_point)?;
        if geometry.value("type").and_then(|it| it.text()).as_deref() != Some("Point") {
            return Err(no_point());
        }
        let mut splices = Vec::new();
        let position = geometry.value("coordinates").map(|it| it.items()).unwrap_or_default();
        if let [x, y, ..] = position.as_slice()
            && position.len() <= MAX_ORDINATES
        {
            splices.extend(Splice::rounded(*x, self.x));
            splices.extend(Splice::rounded(*y, self.y));
        } else {
            let raw = format!("[{}, {}]", written(self.x), written(self.y));
            splices.extend(Layout::set(text, &geometry, "coordinates", &raw));
        }
        for sides in [&feature.fields, &geometry].iter().filter_map(|it| it.value("bbox")) {
            splices.extend(Splice::sides(sides, [self.x, self.y, self.x, self.y]));
        }
        let properties = feature.fields.value("properties").map(Fields::quietly);
        let said = |name| properties.as_ref().and_then(|it| it.value(name));
        let set: Vec<_> = self
            .properties()
            .filter(|(name, _)| match *name {
                "level" => sheet.levels.len() > 1 || said("level").is_some(),
                _ => {
                    let height = said("height").and_then(|it| it.number());
                    self.height.is_none() || height.map(thousandths) != self.height
                }
            })
            .collect();
        splices.extend(set_in(text, feature, &set));
        Ok(splices)
    }
}
