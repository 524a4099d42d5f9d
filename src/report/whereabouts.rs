//! A place in words: room, wall, left or right of the nearest fixed thing, and height.

use forecast::thickness;
use geo::Coord;
use plan::{
    Behind, Beside, Device, Landmark, OnWall, Plan, Rooms, Side, Surroundings, Whereabouts,
};
use units::Lengths;
use words::Words;

/// Places of one plan in words.
#[derive(Debug)]
pub(crate) struct Places<'a> {
    plan: &'a Plan,
    rooms: Rooms,
}

impl<'a> Places<'a> {
    pub(crate) fn new(plan: &'a Plan) -> Self {
        Self { plan, rooms: Rooms::new(plan, &|name| Some(thickness(plan, name).0)) }
    }

    /// Where places are, in English.
    pub(crate) fn all(&self, places: &[(i32, Coord<f64>, f64)]) -> Vec<String> {
        self.in_words(&Words::default(), places)
    }

    /// Where places are, by level, position and height above the plan's zero.
    pub(crate) fn in_words(&self, words: &Words, places: &[(i32, Coord<f64>, f64)]) -> Vec<String> {
        let said = |place| spot_words(words, self.plan.lengths(), &place);
        self.found(places).into_iter().map(said).collect()
    }

    /// The same, still to be put into words.
    pub(crate) fn found(&self, places: &[(i32, Coord<f64>, f64)]) -> Vec<Whereabouts> {
        let thick = |name: &str| Some(thickness(self.plan, name).0);
        let surroundings = Surroundings::new(self.plan, &self.rooms, &thick);
        places.iter().map(|&(level, at, height)| surroundings.of(level, at, height)).collect()
    }

    /// Where a device hangs.
    pub(crate) fn of(&self, device: &Device) -> String {
        let all = self.all(&[(device.level, device.position, device.height_m)]);
        all.into_iter().next().unwrap_or_default()
    }
}

/// Where a device of a plan hangs, as an installer says it.
#[must_use]
pub fn place_words(plan: &Plan, device: &Device) -> String {
    Places::new(plan).of(device)
}

/// A place as an installer says it: "Hall side of the Kitchen wall, 0.55 m left of the door frame,
/// 1.50 m up". Without a room the wall and the distance are left, without a wall the room.
#[must_use]
pub fn spot_words(words: &Words, lengths: Lengths, place: &Whereabouts) -> String {
    let parts = [
        place.level.clone(),
        wall_words(words, place),
        place.wall.as_ref().and_then(|wall| wall.beside).map(|by| beside(words, lengths, by)),
        Some(words.spot_up(&words.length(lengths.tape(place.height_m)))),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    parts.join(", ")
}

fn wall_words(words: &Words, place: &Whereabouts) -> Option<String> {
    let Some(OnWall { id, behind, .. }) = &place.wall else {
        return place.room.clone();
    };
    Some(match (&place.room, behind) {
        (Some(room), Behind::Room(other)) => words.spot_room_side(room, other),
        (Some(room), Behind::Outside) => words.spot_outside_wall(room),
        (Some(room), Behind::Unnamed) => words.spot_inside_wall(room, id),
        (None, _) => words.spot_only_wall(id),
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
        (Landmark::Corner, Side::Left) => words.spot_left_of_corner(&distance),
        (Landmark::Corner, _) => words.spot_right_of_corner(&distance),
        (Landmark::End, Side::Left) => words.spot_left_of_end(&distance),
        (Landmark::End, _) => words.spot_right_of_end(&distance),
    }
}
