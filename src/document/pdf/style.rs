//! Colours and type.

use super::face::{Face, Style};

// Colours, red green blue. Each text colour has more than 4.5 : 1 on white and on the fills below
// (WCAG 2.1, success criterion 1.4.3; the ratios are computed in a test of the parent module).
pub(super) const INK: [u8; 3] = [28, 36, 43];
pub(super) const MUTED: [u8; 3] = [77, 88, 98];
pub(super) const ACCENT: [u8; 3] = [27, 77, 92];
pub(super) const RULE: [u8; 3] = [190, 199, 206];
pub(super) const HEAD_FILL: [u8; 3] = [230, 237, 240];
pub(super) const GROUP_FILL: [u8; 3] = [244, 247, 248];
pub(super) const NOTICE_FILL: [u8; 3] = [255, 248, 230];
pub(super) const NOTICE_RULE: [u8; 3] = [176, 112, 0];

pub(super) const fn style(face: Face, size: f32, leading: f32, colour: [u8; 3]) -> Style {
    Style { face, size, leading, colour }
}

pub(super) const BODY: Style = style(Face::Regular, 9.5, 14.0, INK);
pub(super) const STRONG: Style = style(Face::Bold, 9.5, 14.0, INK);
pub(super) const SMALL: Style = style(Face::Regular, 8.0, 11.5, MUTED);
pub(super) const LABEL: Style = style(Face::Bold, 8.5, 12.0, INK);
/// The lines at the head and the foot of the page.
pub(super) const RUNNING: Style = style(Face::Regular, 7.5, 10.0, MUTED);
