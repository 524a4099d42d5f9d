//! Drawings spoilt at random.

use import::Kind;
use proptest::prelude::*;

use crate::promises::survives;

const BINARY: &[u8] = include_bytes!("files/binary.dxf");
const SOUND: &[u8] = include_bytes!("files/inches.dxf");

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn a_drawing_with_lines_changed_is_refused_or_sound(
        changes in prop::collection::vec((any::<prop::sample::Index>(), "-?[0-9]{1,9}(\\.[0-9]{1,3})?|nan|LINE|ARC|WALLS|"), 1..12),
    ) {
        let text = String::from_utf8_lossy(SOUND).into_owned();
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        for (at, line) in changes {
            let at = at.index(lines.len());
            lines[at] = line;
        }
        survives(Kind::Dxf, lines.join("\n").as_bytes());
    }

    #[test]
    fn a_drawing_with_coordinates_of_walls_changed_is_refused_or_sound(
        changes in prop::collection::vec((any::<prop::sample::Index>(), -50.0_f64..450.0), 1..60),
    ) {
        let text = String::from_utf8_lossy(SOUND).into_owned();
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        let start = lines.iter().position(|line| line == "ENTITIES").unwrap();
        let numbers: Vec<usize> = (start..lines.len() - 1)
            .filter(|at| matches!(lines[*at].trim(), "10" | "20" | "11" | "21"))
            .collect();
        for (at, number) in changes {
            let at = numbers[at.index(numbers.len())] + 1;
            lines[at] = format!("{number}");
        }
        survives(Kind::Dxf, lines.join("\n").as_bytes());
    }

    #[test]
    fn any_bytes_behind_the_mark_of_a_binary_drawing_are_refused_or_sound(
        bytes in prop::collection::vec(any::<u8>(), 0..300),
    ) {
        // The sentinel of a binary drawing, and the first group.
        let mut file = BINARY[..22].to_vec();
        file.extend(b"\0\0SECTION\0");
        file.extend(bytes);
        survives(Kind::Dxf, &file);
    }
}
