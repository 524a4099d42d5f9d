//! Rooms that run into one another because no wall is between them: one space, one name.

use super::list::List;
use super::walls::Run;
use crate::guess::Guesses;
use crate::room_names::joined;

/// For every room, the first room of the space that it is part of.
pub(super) fn spaces(list: &List, runs: &[Run], gone: &[bool]) -> Vec<usize> {
    let mut space: Vec<usize> = (0..list.rooms.len()).collect();
    for (run, _) in runs.iter().zip(gone).filter(|(_, gone)| **gone) {
        if let [a, b] = *run.rooms.as_slice() {
            let (low, high) = (space[a].min(space[b]), space[a].max(space[b]));
            for first in space.iter_mut().filter(|first| **first == high) {
                *first = low;
            }
        }
    }
    space
}

pub(super) fn names(list: &List, spaces: &[usize]) -> Vec<String> {
    let mut members: Vec<Vec<&str>> = vec![Vec::new(); list.rooms.len()];
    for (room, &first) in list.rooms.iter().zip(spaces) {
        members[first].push(&room.name);
    }
    let joined: Vec<String> = members.into_iter().map(joined).collect();
    spaces.iter().map(|&first| joined[first].clone()).collect()
}

/// Tells which rooms have one name now.
pub(super) fn report(spaces: &[usize], names: &[String], guesses: &mut Guesses) {
    for (room, name) in names.iter().enumerate() {
        let rooms = spaces.iter().filter(|first| **first == room).count();
        let taken = "taken as one room, because no wall is between them";
        let fix = "write gap ROOM ROOM W in place of no-wall to keep them apart";
        guesses.add(format!("room {name}"), taken, fix, if rooms > 1 { rooms } else { 0 });
    }
}
