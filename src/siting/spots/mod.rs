//! Places where the panel may hang, and why others may not.
//!
//! Spots lie along the plan's `mountable` features; without any, along every wall face inside the
//! building. A spot is where the panel's antenna is: a little off the face of the wall.

mod faces;
mod fitness;
mod spot;

use faces::{Drafts, faces, index};
use fitness::Fitness;
use forecast::thickness;
use plan::{Inside, Plan};
use spot::{BLOCKED, NEAR_METAL, NEAR_WAY_IN, OUTSIDE_WALL, OVER_OPENING};
use units::Length;

pub use spot::{MAX_SPOTS, Reason, Spot, SpotError, SpotSettings, Spots};

/// Finds the spots of a plan by its constructions' thickness and class.
pub fn spots_of(plan: &Plan, settings: &SpotSettings) -> Result<Spots, SpotError> {
    let mut found = Spots::default();
    for level in &plan.levels {
        let inside = Inside::new(plan, level, &|name| Some(thickness(plan, name).0));
        let faces = faces(plan, level);
        let (inside, faces, index) = (&inside, &faces, &index(&faces));
        let drafts = Drafts { plan, level, settings, inside, faces, index };
        let spots = if plan.mountables.is_empty() || settings.every_wall {
            if !inside.is_closed() && !faces.is_empty() {
                found.warnings.push(format!(
                    "the outside walls of level {} do not close, so spots outdoors are tried, too; \
                     close the outline",
                    level.number
                ));
            }
            drafts.along_faces()?
        } else {
            drafts.along_mountables()?
        };
        let fitness = Fitness::new(plan, level, inside, faces, settings);
        for spot in spots {
            match fitness.reason(&spot) {
                None => found.allowed.push(spot),
                Some(reason) => found.left_out.push((spot, reason)),
            }
        }
        if found.allowed.len() + found.left_out.len() > MAX_SPOTS {
            return Err(SpotError::TooMany);
        }
    }
    if found.allowed.is_empty() {
        return Err(none_allowed(&found.left_out, plan.lengths().tape(settings.height_m)));
    }
    Ok(found)
}

fn none_allowed(left_out: &[(Spot, Reason)], height: Length) -> SpotError {
    const FIXES: [(&str, &str); 5] = [
        (NEAR_METAL, "give a smaller --metal-clearance"),
        (NEAR_WAY_IN, "give a smaller --way-in-clearance"),
        (OUTSIDE_WALL, "drop --no-outside-walls"),
        (OVER_OPENING, "give another --height"),
        (BLOCKED, "give another --height"),
    ];
    let count = |word: &str| left_out.iter().filter(|(_, reason)| reason.word() == word).count();
    let counted = FIXES.map(|(word, fix)| (count(word), word, fix));
    let some = counted.iter().filter(|(count, ..)| *count > 0);
    let why: Vec<String> = some.map(|(count, word, _)| format!("{count} {word}")).collect();
    let most = counted.iter().rev().max_by_key(|(count, ..)| *count);
    match most {
        Some((1.., _, fix)) => SpotError::NoneAllowed { why: why.join(", "), fix },
        _ => SpotError::NoFace { height },
    }
}
