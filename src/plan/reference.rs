//! Every member of a plan's file as a text for people, in Markdown: from the table of members.

use std::fmt::Write;

use super::members::{FEATURE, Holds, KINDS, Member, OBJECTS, PLAN, rows};

/// The reference of members in Markdown: a section for each object and each kind of feature, with a
/// line for each member. Members that must be there are marked with a star.
#[must_use]
pub fn members() -> String {
    let mut text = format!("{}\n\nA star marks what must be there.\n", PLAN.says);
    for object in OBJECTS {
        if object.name != PLAN.name {
            let _ = write!(text, "\n## {}\n\n{}\n", spaced(object.name), object.says);
        }
        table(&mut text, rows(object.members));
        if object.name == FEATURE.name {
            kinds(&mut text);
        }
    }
    text
}

/// The properties by kind; what several kinds have together stands once.
fn kinds(text: &mut String) {
    for row in &KINDS {
        let _ = write!(text, "\n### {}\n\n{}", row.name, row.stands_for);
        let _ = writeln!(text, " Geometry: {}.", row.types.join(", "));
        match KINDS.iter().find(|other| other.members == row.members) {
            Some(first) if first.name != row.name => {
                let _ = writeln!(text, "Properties as of `{}`.", first.name);
            }
            _ => table(text, rows(row.members).filter(|member| member.holds != Holds::Kind)),
        }
    }
}

fn table(text: &mut String, members: impl Iterator<Item = &'static Member>) {
    text.push_str("\n| Member | Holds | Meaning |\n|---|---|---|\n");
    for member in members.filter(|member| member.holds != Holds::Absent) {
        let star = if member.needed { " *" } else { "" };
        let holds = words(member.holds);
        let _ = writeln!(text, "| `{}`{star} | {holds} | {} |", member.name, member.says());
    }
}

fn words(holds: Holds) -> String {
    let listed = |words: &[&str]| format!("`{}`", words.join("`, `"));
    match holds {
        Holds::Anything => "anything".to_owned(),
        Holds::Absent => "nothing".to_owned(),
        Holds::Text => "text".to_owned(),
        Holds::Id => "text or number".to_owned(),
        Holds::Flag => "`true` or `false`".to_owned(),
        Holds::Height => "height".to_owned(),
        Holds::Coordinate => "coordinate".to_owned(),
        Holds::OwnLevel | Holds::Level => "level number".to_owned(),
        Holds::Number(least, _) if least.is_infinite() => "number".to_owned(),
        Holds::Number(least, most) => format!("number, {least} to {most}"),
        Holds::Above(most) if most.is_infinite() => "number above 0".to_owned(),
        Holds::Above(most) => format!("number above 0, to {most}"),
        Holds::Whole(least, most) => format!("whole number, {least} to {most}"),
        Holds::Always(word) => format!("`{word}`"),
        Holds::OneOf(choices) => listed(choices),
        Holds::Known(choices) => format!("text: {}", listed(choices)),
        Holds::A(name) => spaced(name).to_lowercase(),
        Holds::List(of, ..) => format!("list, each a {}", words(*of)),
        Holds::Map(of) => format!("object, by name: each a {}", spaced(of).to_lowercase()),
        Holds::Losses => "object: MHz and dB".to_owned(),
        Holds::Properties => "the properties of its kind".to_owned(),
        Holds::Kind => "text".to_owned(),
    }
}

/// A name of the schema with a space before each word but the first.
fn spaced(name: &str) -> String {
    let mut spaced = String::new();
    for character in name.chars() {
        if character.is_uppercase() && !spaced.is_empty() {
            spaced.push(' ');
            spaced.extend(character.to_lowercase());
        } else {
            spaced.push(character);
        }
    }
    spaced
}
