//! Units, and where things are: placements in placements, as frames in metres.

use std::collections::{BTreeMap, BTreeSet};

use super::step::Model;
use plan::Diagnostic;

/// A place or direction in space, metres.
pub(super) type Place = [f64; 3];

/// Most placements in one another (our own choice: a model has five to ten).
const MAX_CHAIN: usize = 200;

/// A frame: where its origin is, and its axes with their lengths, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Frame {
    pub(super) axes: [Place; 3],
    pub(super) origin: Place,
}

pub(super) const WORLD: Frame =
    Frame { axes: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]], origin: [0.0; 3] };

pub(super) fn sum(a: Place, b: Place) -> Place {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

pub(super) fn scaled(a: Place, by: f64) -> Place {
    a.map(|it| it * by)
}

fn dot(a: Place, b: Place) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(super) fn cross(a: Place, b: Place) -> Place {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// The direction of a vector; nothing for one without length.
pub(super) fn unit(a: Place) -> Option<Place> {
    let long = dot(a, a).sqrt();
    (long > 1e-9 && long.is_finite()).then(|| scaled(a, 1.0 / long))
}

impl Frame {
    /// Where a direction of this frame leads outside it.
    pub(super) fn turned(&self, it: Place) -> Place {
        let [x, y, z] = self.axes;
        sum(sum(scaled(x, it[0]), scaled(y, it[1])), scaled(z, it[2]))
    }

    /// Where a place of this frame is outside it.
    pub(super) fn place(&self, at: Place) -> Place {
        sum(self.origin, self.turned(at))
    }

    /// A frame within this one, seen from outside.
    pub(super) fn holding(&self, inner: &Self) -> Self {
        Self { axes: inner.axes.map(|axis| self.turned(axis)), origin: self.place(inner.origin) }
    }

    /// A frame by its upright and something near its first axis, as the format has it.
    fn by(origin: Place, up: Option<Place>, along: Option<Place>) -> Self {
        let z = up.and_then(unit).unwrap_or([0.0, 0.0, 1.0]);
        let wanted = along.unwrap_or([1.0, 0.0, 0.0]);
        let flat = |it: Place| unit(sum(it, scaled(z, -dot(it, z))));
        let other = [[0.0, 0.0, 1.0], [0.0, 1.0, 0.0]];
        let x = flat(wanted).or_else(|| other.into_iter().find_map(flat));
        let x = x.unwrap_or([1.0, 0.0, 0.0]);
        Self { axes: [x, cross(z, x), z], origin }
    }
}

/// The units of a model, and its placements as far as they were asked for.
pub(super) struct Space<'m, 'b> {
    pub(super) model: &'m Model<'b>,
    file: &'m str,
    /// Metres in the model's unit of length.
    pub(super) metres: f64,
    /// Whether that is a foot or an inch.
    pub(super) in_feet: bool,
    /// Whether the model names a unit of length.
    pub(super) has_unit: bool,
    /// Radians in the model's unit of angle.
    pub(super) radians: f64,
    known: BTreeMap<u32, Frame>,
}

/// Powers of ten that SI units have before their names.
const PREFIXES: [(&[u8], f64); 5] =
    [(b"MILLI", 1e-3), (b"CENTI", 1e-2), (b"DECI", 1e-1), (b"KILO", 1e3), (b"MICRO", 1e-6)];

impl<'m, 'b> Space<'m, 'b> {
    pub(super) fn new(model: &'m Model<'b>, file: &'m str, asked: Option<f64>) -> Self {
        let mut space = Self {
            model,
            file,
            metres: asked.unwrap_or(1.0),
            in_feet: false,
            has_unit: asked.is_some(),
            radians: 1.0,
            known: BTreeMap::new(),
        };
        let assigned = model.all("IFCUNITASSIGNMENT").next();
        let units = assigned.and_then(|number| model.get(number));
        for number in units.map(|units| units.references(0)).unwrap_or_default() {
            let Some(of) = model.get(number) else { continue };
            let Some(size) = space.size(number, 4) else { continue };
            match of.word(1) {
                b"LENGTHUNIT" if asked.is_none() => {
                    space.metres = size;
                    space.has_unit = true;
                }
                b"PLANEANGLEUNIT" => space.radians = size,
                _ => {}
            }
        }
        // Feet and inches, or what was meant for them: 0.3048 and 0.0254, with three digits.
        let near = |metres: f64| (space.metres / metres - 1.0).abs() < 0.002;
        space.in_feet = near(0.3048) || near(0.0254);
        space
    }

    /// How many SI units a unit is; nothing for one that is not known.
    fn size(&self, number: u32, depth: usize) -> Option<f64> {
        let unit = self.model.get(number)?;
        match unit.kind {
            "IFCSIUNIT" => {
                let prefix = unit.word(2);
                let known = PREFIXES.iter().find(|(name, _)| *name == prefix);
                Some(known.map_or(1.0, |(_, size)| *size))
            }
            "IFCCONVERSIONBASEDUNIT" if depth > 0 => {
                let measure = self.model.get_as(unit.reference(3)?, "IFCMEASUREWITHUNIT")?;
                let of = self.size(measure.reference(1)?, depth - 1)?;
                Some(measure.number(0)? * of).filter(|size| (1e-9..=1e9).contains(size))
            }
            _ => None,
        }
    }

    /// A point of two or three numbers, metres.
    pub(super) fn point(&self, number: u32) -> Option<Place> {
        let numbers = self.model.get_as(number, "IFCCARTESIANPOINT")?.at(0).numbers();
        self.position(&numbers)
    }

    pub(super) fn position(&self, numbers: &[f64]) -> Option<Place> {
        let [x, y, rest @ ..] = numbers else { return None };
        let z = rest.first().copied().unwrap_or(0.0);
        Some(scaled([*x, *y, z], self.metres))
    }

    pub(super) fn direction(&self, number: u32) -> Option<Place> {
        let numbers = self.model.get_as(number, "IFCDIRECTION")?.at(0).numbers();
        let [x, y, rest @ ..] = numbers.as_slice() else { return None };
        Some([*x, *y, rest.first().copied().unwrap_or(0.0)])
    }

    /// The frame of an `IfcAxis2Placement2D` or `3D`; without one, that of what it is in.
    pub(super) fn axes(&self, number: Option<u32>) -> Frame {
        let Some(args) = number.and_then(|number| self.model.get(number)) else { return WORLD };
        let origin = args.reference(0).and_then(|at| self.point(at)).unwrap_or_default();
        let direction = |index| args.reference(index).and_then(|it| self.direction(it));
        match args.kind {
            "IFCAXIS2PLACEMENT3D" => Frame::by(origin, direction(1), direction(2)),
            "IFCAXIS2PLACEMENT2D" => Frame::by(origin, None, direction(1)),
            _ => WORLD,
        }
    }

    /// The frame of an `IfcCartesianTransformationOperator3D`.
    pub(super) fn operator(&self, number: u32) -> Frame {
        let Some(args) = self.model.get(number) else { return WORLD };
        let direction = |index| args.reference(index).and_then(|it| self.direction(it));
        let origin = args.reference(2).and_then(|at| self.point(at)).unwrap_or_default();
        let scale = args.number(3).filter(|scale| (1e-6..1e6).contains(&scale.abs()));
        let scale = scale.unwrap_or(1.0);
        let x = direction(0).and_then(unit);
        let mut frame = Frame::by(origin, direction(4), x);
        // A second axis against the first two is a mirror.
        if direction(1).is_some_and(|y| dot(y, frame.axes[1]) < 0.0) {
            frame.axes[1] = scaled(frame.axes[1], -1.0);
        }
        let apart = args.kind.ends_with("NONUNIFORM");
        let of = |index| if apart { args.number(index).unwrap_or(scale) } else { scale };
        let [a, b, c] = frame.axes;
        frame.axes = [scaled(a, scale), scaled(b, of(5)), scaled(c, of(6))];
        frame
    }

    /// Where a placement is in the end, through all that it is relative to.
    ///
    /// # Errors
    /// Placements that are relative to themselves, or too many in one another.
    pub(super) fn placed(&mut self, number: Option<u32>) -> Result<Frame, Diagnostic> {
        let (mut chain, mut seen) = (Vec::new(), BTreeSet::new());
        let (mut next, mut frame) = (number, WORLD);
        while let Some(here) = next {
            if let Some(known) = self.known.get(&here) {
                frame = *known;
                break;
            }
            if !seen.insert(here) || chain.len() >= MAX_CHAIN {
                let what = if chain.len() >= MAX_CHAIN {
                    format!("placement #{here} is the {MAX_CHAIN}th in a row of placements")
                } else {
                    format!("placement #{here} is placed relative to itself")
                };
                let fix = "export the model again; a placement must lead to the site in the end";
                return Err(Diagnostic::at(self.file, (self.model.line(here), 1), what, fix));
            }
            let Some(args) = self.model.get_as(here, "IFCLOCALPLACEMENT") else { break };
            chain.push((here, args.reference(1)));
            next = args.reference(0);
        }
        for (here, axes) in chain.into_iter().rev() {
            frame = frame.holding(&self.axes(axes));
            self.known.insert(here, frame);
        }
        Ok(frame)
    }
}
