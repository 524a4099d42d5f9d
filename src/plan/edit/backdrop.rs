//! The top-level member `backdrop` put into the text of a plan, replaced or taken out.

use super::super::Plan;
use super::super::backdrop::Backdrop;
use super::super::fields::Fields;
use super::super::layout::{Layout, Node};
use super::super::splice::{cuts, spliced, written};
use super::error::EditError;
use input::json::Value;

/// How finely the numbers of a transform are written: a millionth of a pixel across a wide picture.
const STEPS: f64 = 1e9;

/// The text with the picture in it; without one, where there is none.
pub(super) fn put_into(
    text: &str,
    plan: &Plan,
    picture: Option<&Backdrop>,
) -> Result<String, EditError> {
    let whole = Fields::quietly(Value::whole(text));
    let Some(picture) = picture else {
        let members = whole.members();
        let places = members.iter().map(|member| member.key_at..member.value.end());
        return Ok(spliced(text, cuts(places, |number| members[number].key == "backdrop")));
    };
    if !picture.is_sound() {
        return Err(EditError::Backdrop);
    }
    if plan.level(picture.level).is_none() {
        return Err(EditError::NoLevel(picture.level));
    }
    let layout = Layout::of(text, &whole).ok_or(EditError::NotThisPlan)?;
    let new = layout.write_member(&node(picture, plan.metres_per_unit), 0);
    let splice = Layout::set(text, &whole, "backdrop", &new);
    Ok(spliced(text, splice.into_iter().collect()))
}

fn node(picture: &Backdrop, metres_per_unit: f64) -> Node {
    // Adding zero turns a negative zero into a positive one.
    let number = |number: f64| Node::Leaf(written((number * STEPS).round() / STEPS + 0.0));
    let transform = picture.transform.map(|metres| number(metres / metres_per_unit));
    Node::object([
        ("file", Node::text(&picture.file)),
        ("transform", Node::List(transform.to_vec())),
        ("opacity", number(picture.opacity)),
        ("level", Node::Leaf(picture.level.to_string())),
    ])
}
