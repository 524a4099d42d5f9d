//! Layers become constructions of the plan's own.

use import::{Kind, Settings};
use plan::{Construction, Layer};

use super::made::{METRE, Model, notes};
use crate::known::{imported, known, plain};

fn built_of(layers: &[(&str, f64)], settings: &Settings) -> (import::Draft, plan::Plan) {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    let (wall, _) = model.wall(storey, [0.0, 0.0], 0.0, 6.0);
    model.layers(wall, layers);
    imported(Kind::Ifc, "small.ifc", model.text().as_bytes(), settings)
}

#[test]
fn each_layer_is_one_of_the_construction_with_its_own_thickness() {
    let layers = [
        ("Klinker", 115.0),
        ("Luftschicht", 40.0),
        ("Mineralwolle", 100.0),
        ("Stahlbeton C25/30", 45.0),
    ];
    let (draft, plan) = built_of(&layers, &plain());
    let name = &plan.walls[0].construction;
    let Some(Construction::Layers(made)) = plan.constructions.get(name) else {
        panic!("{name}: {:?}", plan.constructions)
    };
    let made: Vec<(&str, f64)> = made
        .iter()
        .filter_map(|layer| match layer {
            Layer::Bulk { material, thickness_mm } => Some((material.as_str(), *thickness_mm)),
            Layer::Film { .. } => None,
        })
        .collect();
    assert_eq!(
        made,
        [("brick", 115.0), ("air", 40.0), ("mineral-wool", 100.0), ("concrete", 45.0)]
    );
    assert!(notes(&draft, "\"Klinker\"", "taken as brick"), "{:?}", draft.guesses);
}

#[test]
fn the_words_of_many_languages_are_known() {
    for (name, material) in [
        ("Brique pleine", "brick"),
        ("Ladrillo hueco", "brick"),
        ("Béton armé", "concrete"),
        ("Betong", "concrete"),
        ("Calcestruzzo cellulare", "aerated-block"),
        ("Porenbeton P2", "aerated-block"),
        ("Kalksandstein", "dense-block"),
        ("Gipsplaat", "plasterboard"),
        ("Plaque de plâtre BA13", "plasterboard"),
        ("Lana di roccia", "mineral-wool"),
        ("Fiberglass Batt", "mineral-wool"),
        ("Drewno", "wood"),
        ("Madera de pino", "wood"),
        ("Acier galvanisé", "metal"),
        ("XPS 035", "rigid-foam"),
        ("Intonaco", "plaster"),
        ("Glas", "glass"),
        ("Pierre naturelle", "stone"),
        ("Luft", "air"),
        ("Кирпич керамический", "brick"),
        ("Железобетон", "concrete"),
        ("Газобетон D500", "aerated-block"),
        ("Стекловата", "mineral-wool"),
        ("コンクリート", "concrete"),
    ] {
        let (draft, _) = built_of(&[(name, 300.0)], &plain());
        assert!(
            notes(&draft, name, &format!("taken as {material} ")),
            "{name}: {:?}",
            draft.guesses
        );
    }
    // "Staircase" holds "air", and no cavity.
    let (draft, plan) = built_of(&[("Staircase finish", 300.0)], &plain());
    assert!(notes(&draft, "Staircase", "nothing known"), "{:?}", draft.guesses);
    assert!(plan.constructions.is_empty());
}

/// The materials of the layers of a construction.
fn materials<'p>(plan: &'p plan::Plan, name: &str) -> Vec<&'p str> {
    let Some(Construction::Layers(made)) = plan.constructions.get(name) else {
        panic!("{name}: {:?}", plan.constructions)
    };
    let materials = made.iter().filter_map(|layer| match layer {
        Layer::Bulk { material, .. } => Some(material.as_str()),
        Layer::Film { .. } => None,
    });
    materials.collect()
}

/// Layers lie to the left of a wall's axis: from outdoors in where the house lies there, too. The
/// plan has them from outdoors in, whichever way the axes run round the house.
#[test]
fn an_outside_wall_has_its_layers_from_outdoors_in() {
    const LAYERS: [(&str, f64); 3] =
        [("Brick", 102.0), ("Mineral wool", 100.0), ("Plasterboard", 13.0)];
    let outward = ["brick", "mineral-wool", "plasterboard"];
    let corners = [[0.0, 0.0], [6.0, 0.0], [6.0, 4.0], [0.0, 4.0]];
    for (is_clockwise, is_said) in [(false, false), (true, false), (true, true)] {
        let mut model = Model::new(METRE, 1.0);
        let storey = model.storey("Ground", 0.0, Some(0.0));
        for (number, at) in corners.into_iter().enumerate() {
            let turned = [0.0, 90.0, 180.0, 270.0][number];
            let long_m = if number % 2 == 0 { 6.0 } else { 4.0 };
            // The same walls from their other ends.
            let (at, turned) = if is_clockwise {
                (corners[(number + 1) % 4], turned + 180.0)
            } else {
                (at, turned)
            };
            let (wall, _) = model.wall(storey, at, turned, long_m);
            model.layers(wall, &LAYERS);
            if is_said {
                model.is_external(wall);
            }
        }
        let (_, plan) = imported(Kind::Ifc, "small.ifc", model.text().as_bytes(), &plain());
        assert_eq!(plan.walls.len(), 4);
        for wall in 0..4 {
            let mut wanted = outward;
            if is_clockwise {
                wanted.reverse();
            }
            let built = &plan.walls[wall].construction;
            assert_eq!(materials(&plan, built), wanted, "clockwise: {is_clockwise}, {is_said}");
        }
    }
}

/// Between rooms the first layer is on the left of the line as drawn.
#[test]
fn an_inside_wall_is_drawn_with_its_first_layer_on_the_left() {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    model.room(storey);
    let (wall, _) = model.wall(storey, [3.0, 0.0], 90.0, 4.0);
    model.layers(wall, &[("Plasterboard", 13.0), ("Brick", 102.0)]);
    let (_, plan) = imported(Kind::Ifc, "small.ifc", model.text().as_bytes(), &plain());
    let mut walls = plan.walls.iter();
    let inside = walls.find(|wall| wall.line.0.iter().all(|at| (at.x - 3.0).abs() < 0.2)).unwrap();
    assert_eq!(materials(&plan, &inside.construction), ["plasterboard", "brick"]);
    // Its axis runs up the plan, its layers to the left of that: the first is on the right.
    let line = &inside.line.0;
    assert!(line[0].y > line[1].y, "{line:?}");
}

#[test]
fn a_slab_has_its_layers_from_the_upper_side_down() {
    let mut model = Model::new(METRE, 1.0);
    let lower = model.storey("Ground", 0.0, Some(0.0));
    model.room(lower);
    let upper = model.storey("Upper", 2.8, Some(2.8));
    model.room(upper);
    let body = model.block([-0.15, -0.15, -0.2], [6.15, 4.15, 0.0]);
    let slab = model.element("IFCSLAB", upper, &[body], "$,.FLOOR.");
    model.keep(slab);
    model.layers_along("AXIS3", slab, &[("Concrete", 180.0), ("Timber", 20.0)]);
    let (_, plan) = imported(Kind::Ifc, "small.ifc", model.text().as_bytes(), &plain());
    assert_eq!(materials(&plan, &plan.slabs[0].construction), ["wood", "concrete"]);
}

#[test]
fn what_the_user_maps_goes_before_the_layers() {
    let map = [("Ziegel".to_owned(), "brick-cavity".to_owned())].into();
    let (_, plan) = built_of(&[("Putz", 15.0), ("Ziegel", 285.0)], &Settings { map, ..plain() });
    assert_eq!(plan.walls[0].construction, "brick-cavity");
    assert!(plan.constructions.is_empty());
}

#[test]
fn every_material_that_the_reader_takes_is_known() {
    let vocabulary = known().vocabulary;
    for material in import::ifc::materials() {
        assert!(vocabulary.materials.iter().any(|known| known == material), "{material}");
    }
}
