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
