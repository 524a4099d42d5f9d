//! Rooms that run into one another, since no wall is between them: one name for all. Rooms that are
//! drawn with their outlines stay apart.

use std::collections::{BTreeMap, BTreeSet};

use geo::{BoundingRect, Contains, Coord, Geometry, LineString, Polygon};

use crate::guess::Guess;
use crate::{CEILING_M, Draft, Piece, Settings, What};
use plan::{Inside, Level, Plan, Wall};

/// Words for rooms, or their beginnings in languages that write compounds: English, German, French,
/// Spanish, Italian, Portuguese, Dutch, the Nordic ones, Polish, Chinese, Japanese. From memory.
const ROOMS: &str = "\
    room bedroom kitchen bath toilet wc lavatory shower hall lobby entry entrance foyer corridor \
    passage landing stair garage carport office study library lounge living dining family pantry \
    larder closet wardrobe utility laundry store storage cellar basement attic loft porch balcony \
    terrace veranda shop workshop bar gym nursery reception conservatory \
    zimmer kueche küche bad diele flur wohn schlaf kinder buero büro keller lager werkstatt \
    chambre cuisine salon sejour séjour salle bureau couloir cave cellier \
    dormitorio cocina baño bano aseo sala comedor pasillo pasadizo cuarto habitacion habitación \
    estar cochera deposito lavanderia camera cucina bagno soggiorno pranzo ingresso corridoio \
    ripostiglio studio cantina quarto suite cozinha banheiro copa varanda escritorio garagem \
    kamer keuken badkamer woonkamer slaapkamer berging kantoor kok kök køkken kjøkken rum stue \
    soverom sovrum vardagsrum bod keittiö makuuhuone olohuone pokoj pokój kuchnia lazienka \
    łazienka salon korytarz sypialnia 室 房 厅 厨 卫 间 庭 台所 玄関 廊下 便所";

/// Whether a name has a word for a room.
fn is_of_room(name: &str) -> bool {
    let name = name.to_lowercase();
    ROOMS.split_ascii_whitespace().any(|word| {
        let begins = |part: &str| part.starts_with(word);
        let is_sign = word.chars().all(|c| c >= '\u{2e80}');
        name.split(|c: char| !c.is_alphabetic()).any(begins) || (is_sign && name.contains(word))
    })
}

/// Names in one, each once; where there are many, those that have a word for a room, or the first
/// and how many more.
pub(crate) fn joined<'n>(names: impl IntoIterator<Item = &'n str>) -> String {
    const MOST: usize = 3;
    let mut seen = BTreeSet::new();
    let mut names: Vec<&str> = names.into_iter().filter(|name| seen.insert(*name)).collect();
    if names.len() > MOST && names.iter().any(|name| is_of_room(name)) {
        names.retain(|name| is_of_room(name));
    }
    match names.as_slice() {
        [one, rest @ ..] if names.len() > MOST => format!("{one} and {} more", rest.len()),
        all => all.join(", "),
    }
}

/// Gives rooms of a draft that no wall parts one name, where the first of them is.
pub(crate) fn join_rooms(draft: &mut Draft, settings: &Settings) {
    let mut levels: BTreeMap<i32, usize> = BTreeMap::new();
    for room in draft.pieces.iter().filter(|piece| piece.what == What::Room) {
        *levels.entry(room.level).or_default() += 1;
    }
    let mut gone: BTreeSet<usize> = BTreeSet::new();
    let mut spaces = 0;
    for (level, _) in levels.into_iter().filter(|(_, rooms)| *rooms > 1) {
        let areas = closed(draft, level, settings);
        let mut members: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (number, piece) in draft.pieces.iter().enumerate() {
            let is_room = piece.what == What::Room && piece.level == level;
            let Some(at) = place(piece).filter(|_| is_room) else { continue };
            if let Some(area) = areas.iter().position(|(low, high, area)| {
                let within = |at: f64, low: f64, high: f64| (low..=high).contains(&at);
                within(at.x, low.x, high.x) && within(at.y, low.y, high.y) && area.contains(&at)
            }) {
                members.entry(area).or_default().push(number);
            }
        }
        for members in members.into_values().filter(|members| members.len() > 1) {
            let names = members.iter().filter_map(|one| draft.pieces[*one].name.as_deref());
            let name = joined(names);
            let first = &mut draft.pieces[members[0]];
            spaces += usize::from(first.name.as_ref() != Some(&name));
            first.id.clone_from(&name);
            first.name = Some(name);
            gone.extend(&members[1..]);
        }
    }
    let mut number = 0..;
    draft.pieces.retain(|_| number.next().is_none_or(|number| !gone.contains(&number)));
    if spaces > 0 {
        let taken = "named after all rooms in them, because no wall is between these";
        let fix = "draw a wall in the plan where one room ends, or give them one name";
        draft.guesses.push(Guess::new("rooms that run into one another", taken, fix, spaces));
    }
}

fn place(piece: &Piece) -> Option<Coord<f64>> {
    match &piece.shape {
        Geometry::Point(at) => Some(at.0),
        _ => None,
    }
}

/// What the walls of a level close off, each with its box.
fn closed(
    draft: &Draft,
    level: i32,
    settings: &Settings,
) -> Vec<(Coord<f64>, Coord<f64>, Polygon<f64>)> {
    let known = draft.levels.iter().find(|known| known.number == level).cloned();
    let usual = || Level {
        number: level,
        name: String::new(),
        floor_m: 0.0,
        ceiling_m: CEILING_M,
        is_over_air: false,
    };
    let own = known.unwrap_or_else(usual);
    let walls = draft.pieces.iter().filter(|piece| piece.level == level).filter_map(|piece| {
        let What::Wall { construction, thickness_mm, base_m, top_m } = &piece.what else {
            return None;
        };
        let line = match &piece.shape {
            Geometry::Line(line) => LineString::from(*line),
            Geometry::LineString(line) => line.clone(),
            _ => return None,
        };
        let thick = || settings.known_thickness_m(construction).map(|metres| metres * 1e3);
        Some(Wall {
            id: String::new(),
            level,
            construction: construction.clone(),
            thickness_mm: thickness_mm.or_else(thick),
            line,
            base_m: base_m.unwrap_or(own.floor_m),
            top_m: top_m.unwrap_or(own.ceiling_m),
        })
    });
    let plan = Plan { levels: vec![own.clone()], walls: walls.collect(), ..Plan::default() };
    let inside = Inside::new(&plan, &own, &|_| None);
    let boxed = |area: &Polygon<f64>| {
        area.bounding_rect().map(|whole| (whole.min(), whole.max(), area.clone()))
    };
    inside.rooms().filter_map(boxed).collect()
}

#[cfg(test)]
mod tests {
    use super::joined;

    #[test]
    fn of_many_names_those_count_that_have_a_word_for_a_room() {
        let names = ["GAS WH", "2-CAR GARAGE", "16' OHD", "SLOPE", "STEP"];
        assert_eq!(joined(names), "2-CAR GARAGE");
        assert_eq!(joined(["A", "B", "C", "D"]), "A and 3 more");
        assert_eq!(joined(["Hall", "B", "C"]), "Hall, B, C");
    }
}
