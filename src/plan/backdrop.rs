//! A picture under the plan, to draw over: the top-level member `backdrop`.

use super::fields::Fields;
use super::frame::Frame;
use super::limits::MAX_TRANSFORM;
use super::members::BACKDROP;
use input::quoted;

/// How strongly a picture is shown where the plan does not say it (our own choice).
pub const OPACITY: f64 = 0.5;

/// Longest name of a picture's file, bytes: what every usual file system takes.
const LONGEST_NAME: usize = 200;

/// Least area of a pixel, square metres: less is no picture of a house.
const LEAST_AREA_M2: f64 = 1e-12;

/// A picture that lies under a plan. Nothing but the page reads it.
#[derive(Debug, Clone, PartialEq)]
pub struct Backdrop {
    /// The bare name of a PNG or JPEG beside the plan's file.
    pub file: String,
    /// Puts the pixel at column and row, counted from the picture's upper left corner, at
    /// x = a·column + b·row + c and y = d·column + e·row + f, metres: `[a, b, c, d, e, f]`.
    pub transform: [f64; 6],
    /// How strongly it is shown, 0 to 1.
    pub opacity: f64,
    /// Number of the level under which it is shown.
    pub level: i32,
}

impl Backdrop {
    /// Whether it can stand in a plan: a bare name, and finite numbers that put it somewhere.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        is_picture_name(&self.file)
            && self.transform.iter().all(|number| number.abs() <= MAX_TRANSFORM)
            && area(self.transform) >= LEAST_AREA_M2
            && (0.0..=1.0).contains(&self.opacity)
    }
}

/// The area of a pixel.
fn area([a, b, _, d, e, _]: [f64; 6]) -> f64 {
    (a * e - b * d).abs()
}

/// Whether a name is the bare one of a PNG or JPEG, on every system: it leads to no other folder.
#[must_use]
pub fn is_picture_name(name: &str) -> bool {
    let plain = |c: char| !c.is_control() && !"/\\:*?\"<>|".contains(c);
    let ending = name.rsplit_once('.').map(|(_, ending)| ending.to_ascii_lowercase());
    name.len() <= LONGEST_NAME
        && matches!(ending.as_deref(), Some("png" | "jpg" | "jpeg"))
        && !name.starts_with(['.', ' '])
        && !name.contains("..")
        && name.chars().all(plain)
}

impl Frame<'_> {
    /// Reads the top-level member `backdrop`.
    pub(super) fn read_backdrop(&mut self, top: &Fields<'_>) -> Option<Backdrop> {
        let value = top.value("backdrop")?;
        let fields = Fields::of(value, &BACKDROP, "\"backdrop\"", None, &mut self.faults)?;
        let named = "give the bare name of a PNG or JPEG beside the plan, such as house.png";
        let placed = "give six numbers: [a, b, c, d, e, f]";
        fields.need("file", named, &mut self.faults);
        fields.need("transform", placed, &mut self.faults);
        let file = fields.text("file", &mut self.faults);
        let is_bare = file.as_deref().is_none_or(is_picture_name);
        if !is_bare {
            let file = quoted(file.as_deref().unwrap_or_default());
            let what = format!("the picture {file} is no bare name of a PNG or JPEG");
            fields.fault("file", &mut self.faults, || (what, named));
        }
        let numbers = fields.value("transform").map(|value| {
            let numbers = value.items().into_iter().map(|item| item.number());
            let near = |number: &f64| number.abs() <= MAX_TRANSFORM;
            numbers.map(|number| number.filter(near)).collect::<Option<Vec<f64>>>()
        });
        let transform = numbers.flatten().and_then(|numbers| <[f64; 6]>::try_from(numbers).ok());
        let transform = transform.map(|numbers| numbers.map(|one| one * self.unit.metres));
        let transform = transform.filter(|numbers| area(*numbers) >= LEAST_AREA_M2);
        if fields.value("transform").is_some() && transform.is_none() {
            let what = "\"transform\" must be six finite numbers that give each pixel a place";
            fields.fault("transform", &mut self.faults, || (what, placed));
        }
        let opacity = fields.within("opacity", &mut self.faults).unwrap_or(OPACITY);
        let level = self.optional_level(&fields)?.number;
        Some(Backdrop { file: file.filter(|_| is_bare)?, transform: transform?, opacity, level })
    }
}
