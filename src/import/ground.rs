//! The picture that a draft was made of.

/// The picture that a draft was made of, to lie under the plan.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Ground {
    /// The bare name of its file; the caller gives it. Without one the plan has no backdrop.
    pub file: String,
    /// Puts its pixels into the draft, metres; see [`plan::Backdrop::transform`].
    pub transform: [f64; 6],
    /// Its file, without whatever else was in the one that was read.
    pub bytes: Vec<u8>,
    /// The ending of its name: `png` or `jpg`.
    pub ending: &'static str,
}
