//! A place in words: room, wall, left or right of the nearest fixed thing, and height.

#[cfg(test)]
mod tests;

use forecast::thickness;
use geo::Coord;
use job::schedule::{contact_at, is_contact};
use plan::{
    Behind, Beside, Compass, Device, Landmark, OnWall, Plan, Rooms, Side, Surroundings, Whereabouts,
};
use units::Lengths;
use words::Words;

/// A contact so near a frame is on it, metres: the width of a usual frame with some play (common
/// practice, no source).
const FRAME_M: f64 = 0.15;

/// What is so near a corner is in it, metres: nobody measures that (our own choice).
const IN_CORNER_M: f64 = 0.05;

/// Places of one plan in words.
#[derive(Debug, Clone)]
pub(crate) struct Places<'a> {
    plan: &'a Plan,
    rooms: Rooms,
}

/// A level, a position and a height above the plan's zero.
pub(crate) type Place = (i32, Coord<f64>, f64);

impl<'a> Places<'a> {
    pub(crate) fn new(plan: &'a Plan) -> Self {
        Self { plan, rooms: Rooms::new(plan, &|name| Some(thickness(plan, name).0)) }
    }

    /// Where places are.
    pub(crate) fn all(&self, words: &Words, places: &[Place]) -> Vec<String> {
        let said = |place| spot_words(words, self.plan.lengths(), &place);
        self.found(places).into_iter().map(said).collect()
    }

    /// How lengths of the plan are shown.
    pub(crate) fn lengths(&self) -> Lengths {
        self.plan.lengths()
    }

    fn found(&self, places: &[Place]) -> Vec<Whereabouts> {
        let thick = |name: &str| Some(thickness(self.plan, name).0);
        let surroundings = Surroundings::new(self.plan, &self.rooms, &thick);
        places.iter().map(|&(level, at, height)| surroundings.of(level, at, height)).collect()
    }

    /// Where devices hang, still to be put into words: what is on a frame is at its door or window.
    pub(crate) fn devices(&self, devices: &[&Device]) -> Vec<Whereabouts> {
        let places: Vec<_> = devices.iter().map(|d| (d.level, d.position, d.height_m)).collect();
        let mut found = self.found(&places);
        for (device, place) in devices.iter().zip(&mut found) {
            // A nook of a room may have a name of its own, which only its devices say.
            let behind = place.wall.as_ref().map(|wall| &wall.behind);
            let own = device.room.clone().filter(|own| behind != Some(&Behind::Room(own.clone())));
            place.room = place.room.take().map(|room| own.unwrap_or(room));
            let beside = place.wall.as_mut().and_then(|wall| wall.beside.as_mut());
            let is_on_frame = device.mount.as_deref() == Some("frame");
            if let Some(beside) = beside
                && (is_on_frame || is_contact(self.plan, device))
                && matches!(beside.landmark, Landmark::Door | Landmark::Window)
                && beside.distance_m <= FRAME_M
            {
                (beside.side, beside.distance_m) = (Side::Within, 0.0);
            }
        }
        found
    }

    /// Where a device hangs.
    pub(crate) fn of(&self, words: &Words, device: &Device) -> String {
        let place = self.devices(&[device]).pop();
        let said = |place| spot_words(words, self.plan.lengths(), &place);
        place.map(said).unwrap_or_default()
    }

    /// A door or window by the contact at it, else by the rooms on both sides; its id where the
    /// plan has no such opening.
    pub(crate) fn opening(&self, words: &Words, id: &str) -> String {
        let opening = self.plan.openings.iter().find(|opening| opening.id == id);
        let contact = opening.and_then(|opening| contact_at(self.plan, opening));
        contact.map_or_else(|| self.opening_by_rooms(words, id), |contact| contact.name.clone())
    }

    /// A door or window by the rooms on both sides, whatever hangs at it.
    pub(crate) fn opening_by_rooms(&self, words: &Words, id: &str) -> String {
        let opening = self.plan.openings.iter().find(|opening| opening.id == id);
        let named = opening.and_then(|opening| {
            let level = self.plan.walls.get(opening.wall)?.level;
            let line = self.plan.opening_line(opening)?;
            let at = self.found(&[(level, (line.start + line.end) / 2.0, opening.base_m)]).pop()?;
            Some(self.opening_words(words, &at))
        });
        named.unwrap_or_else(|| id.to_owned())
    }

    fn opening_words(&self, words: &Words, at: &Whereabouts) -> String {
        let wall = at.wall.as_ref();
        let landmark = wall.and_then(|wall| wall.beside).map(|beside| beside.landmark);
        let is_window = landmark == Some(Landmark::Window);
        let side = wall.map(|wall| side_words(words, wall.faces.opposite()));
        match (&at.room, wall.map(|wall| &wall.behind), side) {
            (Some(room), Some(Behind::Room(other)), _) if is_window => {
                words.spot_window_between(room, other)
            }
            (Some(room), Some(Behind::Room(other)), _) => words.spot_door_between(room, other),
            (Some(room), _, Some(side)) if is_window => words.spot_window_of(room, &side),
            (Some(room), _, Some(side)) => words.spot_door_of(room, &side),
            _ => {
                let lengths = self.plan.lengths();
                let place = [wall_words(words, at), near_words(words, lengths, at)];
                let place: Vec<String> = place.into_iter().flatten().collect();
                let place = place.join(", ");
                if is_window {
                    words.spot_only_window(&place)
                } else {
                    words.spot_only_door(&place)
                }
            }
        }
    }

    /// A mains outlet by its room and wall, and by what it is beside where another has the same;
    /// its id where the plan has no such outlet.
    pub(crate) fn outlet(&self, words: &Words, id: &str) -> String {
        let outlets = &self.plan.outlets;
        let places: Vec<_> = outlets.iter().map(|o| (o.level, o.position, o.height_m)).collect();
        let said = |at: Whereabouts, is_full| {
            let at = Whereabouts {
                wall: at
                    .wall
                    .map(|wall| OnWall { beside: wall.beside.filter(|_| is_full), ..wall }),
                ..at
            };
            horizontally(words, self.plan.lengths(), &at).join(", ")
        };
        let found = self.found(&places);
        let Some(own) = outlets.iter().position(|outlet| outlet.id == id) else {
            return id.to_owned();
        };
        let short: Vec<String> = found.iter().map(|at| said(at.clone(), false)).collect();
        let is_alone = short.iter().filter(|other| **other == short[own]).count() == 1;
        let place = said(found[own].clone(), !is_alone);
        if place.is_empty() { id.to_owned() } else { words.spot_outlet(&place) }
    }
}

/// Where a device of a plan hangs, as an installer says it.
#[must_use]
pub fn place_words(words: &Words, plan: &Plan, device: &Device) -> String {
    Places::new(plan).of(words, device)
}

/// Where devices of a plan hang, each as an installer says it.
#[must_use]
pub fn device_places(words: &Words, plan: &Plan, devices: &[&Device]) -> Vec<String> {
    let found = Places::new(plan).devices(devices);
    found.iter().map(|place| spot_words(words, plan.lengths(), place)).collect()
}

/// What doors of a plan are called, by their ids.
#[must_use]
pub fn opening_names(words: &Words, plan: &Plan, ids: &[String]) -> Vec<String> {
    let places = Places::new(plan);
    ids.iter().map(|id| places.opening(words, id)).collect()
}

/// A place as an installer says it: "Hall side of the Kitchen wall, 0.55 m left of the door frame,
/// 1.50 m up". Without a named room the nearest device stands in.
#[must_use]
pub fn spot_words(words: &Words, lengths: Lengths, place: &Whereabouts) -> String {
    let mut parts = horizontally(words, lengths, place);
    parts.push(words.spot_up(&words.length(lengths.tape(place.height_m))));
    parts.join(", ")
}

/// The same without the height.
fn horizontally(words: &Words, lengths: Lengths, place: &Whereabouts) -> Vec<String> {
    let parts = [
        place.level.clone(),
        wall_words(words, place),
        place.wall.as_ref().and_then(|wall| wall.beside).map(|by| beside(words, lengths, by)),
        near_words(words, lengths, place),
    ];
    parts.into_iter().flatten().collect()
}

fn side_words(words: &Words, side: Compass) -> String {
    words.term("side", side.word()).unwrap_or_default()
}

fn near_words(words: &Words, lengths: Lengths, place: &Whereabouts) -> Option<String> {
    let (device, off_m) = place.near.as_ref()?;
    Some(words.spot_near(&words.length(lengths.tape(*off_m)), device))
}

/// The wall by the rooms on its sides, or by the side of the room that it is on.
fn wall_words(words: &Words, place: &Whereabouts) -> Option<String> {
    let Some(OnWall { behind, faces, .. }) = &place.wall else {
        return place.room.clone().or_else(|| place.is_outside.then(|| words.spot_outside()));
    };
    let face = side_words(words, *faces);
    if place.room.is_none() && (place.is_outside || *behind == Behind::Same) {
        return Some(match behind {
            Behind::Room(other) => words.spot_other_side(&face, other),
            Behind::Unnamed => words.spot_outside_house(&face),
            Behind::Same | Behind::Outside => words.spot_only_wall(&face),
        });
    }
    let room = place.room.clone().unwrap_or_else(|| words.spot_unnamed_room());
    let side = side_words(words, faces.opposite());
    Some(match behind {
        Behind::Room(other) => words.spot_room_side(&room, other),
        Behind::Outside => words.spot_outside_wall(&room, &side),
        Behind::Unnamed => words.spot_inside_wall(&room, &side),
        Behind::Same => words.spot_free_wall(&room, &face),
    })
}

fn beside(words: &Words, lengths: Lengths, by: Beside) -> String {
    let distance = words.length(lengths.tape(by.distance_m));
    match (by.landmark, by.side) {
        (Landmark::Door, Side::Left) => words.spot_left_of_door(&distance),
        (Landmark::Door, Side::Right) => words.spot_right_of_door(&distance),
        (Landmark::Door, Side::Within) => words.spot_at_door(),
        (Landmark::Window, Side::Left) => words.spot_left_of_window(&distance),
        (Landmark::Window, Side::Right) => words.spot_right_of_window(&distance),
        (Landmark::Window, Side::Within) => words.spot_at_window(),
        (Landmark::Corner, Side::Left) if by.distance_m <= IN_CORNER_M => {
            words.spot_in_right_corner()
        }
        (Landmark::Corner, _) if by.distance_m <= IN_CORNER_M => words.spot_in_left_corner(),
        (Landmark::Corner, Side::Left) => words.spot_left_of_corner(&distance),
        (Landmark::Corner, _) => words.spot_right_of_corner(&distance),
        (Landmark::End, Side::Left) => words.spot_left_of_end(&distance),
        (Landmark::End, _) => words.spot_right_of_end(&distance),
    }
}
