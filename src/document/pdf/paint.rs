//! Ink, and what it belongs to in the structure (tagged PDF, ISO 32000-1, 14.8; from memory).

use krilla::color::rgb;
use krilla::geom::{PathBuilder, Point, Rect, Size, Transform};
use krilla::image::Image;
use krilla::num::NormalizedF32;
use krilla::paint::{Fill, FillRule};
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, ContentTag, Identifier, Node, SpanTag, TagGroup, TagKind, TagTree,
};

use super::face::{Fonts, Line};

/// Something to be drawn. Points, from the left and upper edge of its piece.
#[derive(Debug, Clone)]
pub(super) struct Mark {
    pub(super) x: f32,
    pub(super) y: f32,
    pub(super) ink: Ink,
    /// The part of the document that it belongs to; none for what is there for the eye only.
    pub(super) part: Option<Part>,
}

/// What is drawn.
#[derive(Debug, Clone)]
pub(super) enum Ink {
    /// `y` is where its letters stand.
    Line(Line),
    /// A filled rectangle; rules are thin ones.
    Fill {
        width: f32,
        height: f32,
        colour: [u8; 3],
    },
    Picture {
        width: f32,
        height: f32,
        image: Image,
    },
}

impl Mark {
    /// A filled rectangle for the eye.
    pub(super) fn fill(x: f32, y: f32, width: f32, height: f32, colour: [u8; 3]) -> Self {
        Self { x, y, ink: Ink::Fill { width, height, colour }, part: None }
    }
}

/// Four rules round a rectangle, inside of it.
pub(super) fn frame(
    x: f32,
    y: f32,
    width: f32,
    height: f32,
    thickness: f32,
    colour: [u8; 3],
) -> [Mark; 4] {
    [
        Mark::fill(x, y, width, thickness, colour),
        Mark::fill(x, y + height - thickness, width, thickness, colour),
        Mark::fill(x, y, thickness, height, colour),
        Mark::fill(x + width - thickness, y, thickness, height, colour),
    ]
}

/// A part of the structure, by its number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Part(usize);

/// The structure of a document: a tree of parts.
#[derive(Debug, Default)]
pub(super) struct Structure {
    parts: Vec<(TagKind, Vec<Child>)>,
    top: Vec<usize>,
}

#[derive(Debug)]
enum Child {
    Part(usize),
    Ink(Identifier),
}

impl Structure {
    /// A new part, inside of another or at the top.
    pub(super) fn add(&mut self, inside: Option<Part>, tag: impl Into<TagKind>) -> Part {
        let number = self.parts.len();
        self.parts.push((tag.into(), Vec::new()));
        match inside {
            Some(Part(outer)) => self.parts[outer].1.push(Child::Part(number)),
            None => self.top.push(number),
        }
        Part(number)
    }

    fn group(&self, number: usize) -> TagGroup {
        let (tag, children) = &self.parts[number];
        let node = |child: &Child| match child {
            Child::Part(inner) => Node::from(self.group(*inner)),
            Child::Ink(identifier) => Node::from(*identifier),
        };
        TagGroup::with_children(tag.clone(), children.iter().map(node).collect())
    }

    /// The tree in the library's terms, once all is drawn.
    pub(super) fn tree(&self) -> TagTree {
        let mut tree = TagTree::new();
        self.top.iter().for_each(|number| tree.push(self.group(*number)));
        tree
    }
}

/// Draws one mark, moved by `dx` and `dy` points. `outside` is what ink is that belongs to no part.
pub(super) fn paint(
    surface: &mut Surface<'_>,
    fonts: &Fonts,
    structure: &mut Structure,
    mark: &Mark,
    (dx, dy): (f32, f32),
    outside: ArtifactType,
) {
    if let Ink::Line(line) = &mark.ink
        && line.glyphs.is_empty()
    {
        return;
    }
    let tag = match (&mark.part, &mark.ink) {
        (None, _) => ContentTag::Artifact(Artifact::with_kind(outside)),
        (Some(_), Ink::Line(_)) => ContentTag::Span(SpanTag::empty()),
        (Some(_), _) => ContentTag::Other,
    };
    let identifier = surface.start_tagged(tag);
    if let Some(Part(number)) = mark.part {
        structure.parts[number].1.push(Child::Ink(identifier));
    }
    let (x, y) = (mark.x + dx, mark.y + dy);
    match &mark.ink {
        Ink::Line(line) => {
            surface.set_fill(Some(fill(line.style.colour)));
            surface.draw_glyphs(
                Point::from_xy(x, y),
                &line.glyphs,
                fonts.font(line.style.face),
                &line.text,
                line.style.size,
                false,
            );
        }
        Ink::Fill { width, height, colour } => {
            surface.set_fill(Some(fill(*colour)));
            let mut path = PathBuilder::new();
            if let Some(rect) = Rect::from_xywh(x, y, *width, *height) {
                path.push_rect(rect);
            }
            if let Some(path) = path.finish() {
                surface.draw_path(&path);
            }
        }
        Ink::Picture { width, height, image } => {
            if let Some(size) = Size::from_wh(*width, *height) {
                surface.push_transform(&Transform::from_translate(x, y));
                surface.draw_image(image.clone(), size);
                surface.pop();
            }
        }
    }
    surface.end_tagged();
}

fn fill([red, green, blue]: [u8; 3]) -> Fill {
    Fill {
        paint: rgb::Color::new(red, green, blue).into(),
        opacity: NormalizedF32::ONE,
        rule: FillRule::default(),
    }
}
