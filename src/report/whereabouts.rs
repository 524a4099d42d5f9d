//! A place in words: room, wall, left or right of the nearest fixed thing, and height.

use plan::{Behind, Beside, Landmark, OnWall, Side, Whereabouts};
use units::Lengths;
use words::Words;

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
