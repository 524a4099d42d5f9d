//! The library's ray model on the same points.

use forecast::{
    Edges, Follower, ListenerEnd, Model, SurfaceNames, Surfaces, View, Walls, vocabulary,
};
use geo::Coord;
use plan::{Plan, read};
use radio::Polarisation;
use trace::{ImageTree, Scene};
use units::Hertz;

use super::house::House;
use super::rays::{Path, RayModel};

/// Height of both ends above the floor, m. The solver knows no height, so both are level.
const HEIGHT_M: f64 = 1.2;

/// The library's engine on the house's plan: bare slabs (no excess), E upright.
pub struct LibraryRays {
    scene: Scene,
    surfaces: Vec<Surfaces>,
    model: Model,
}

/// The plan of a house, read from its text as a user's file would be.
pub fn plan_of(house: &House) -> Plan {
    let text = house.plan_text(House::TRANSMITTERS[0], House::TRANSMITTERS[1]);
    read("house.geojson", text.as_bytes(), &vocabulary()).expect("the house is a good plan").plan
}

impl LibraryRays {
    /// The engine with so many reflections and soft or sharp edges.
    pub fn new(house: &House, frequencies_hz: &[f64], reflections: u8, openings: Edges) -> Self {
        let plan = plan_of(house);
        let model = Model {
            reflections,
            openings,
            walls: Walls::Ideal,
            polarisation: Polarisation::Te,
            ..Model::default()
        };
        let names = SurfaceNames::new(&plan);
        let scene = Scene::new(&plan, &|name| names.facts(name));
        let surfaces = frequencies_hz
            .iter()
            .map(|&f| Surfaces::new(&plan, &names, Hertz(f), &model))
            .collect();
        Self { scene, surfaces, model }
    }
}

impl RayModel for LibraryRays {
    fn paths(&self, frequency_hz: f64, tx: [f64; 2], rx: [f64; 2]) -> Vec<Path> {
        let [tx, rx] = [tx, rx].map(|p| Coord { x: p[0], y: p[1] });
        let surfaces = self.surfaces.iter().find(|s| s.frequency == Hertz(frequency_hz));
        let surfaces = surfaces.expect("the model was made for this frequency");
        let tree = ImageTree::new(&self.scene, tx, self.model.reflections).expect("a small house");
        let view = View {
            scene: &self.scene,
            surfaces,
            model: &self.model,
            at_least: false,
            listener: ListenerEnd::Near,
        };
        view.paths(&mut Follower::default(), &tree, (HEIGHT_M, HEIGHT_M), rx)
            .iter()
            .map(|path| Path { length_m: path.length_m, gain: path.interaction.0 })
            .collect()
    }
}
