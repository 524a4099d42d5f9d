//! Models made for the tests: a builder of STEP text with the few entities that a house needs.

use import::{Draft, Kind};
use plan::Plan;

use crate::known::{imported, plain};

/// A model that is being written, in a unit of which `per_metre` make a metre.
pub struct Model {
    lines: Vec<String>,
    per_metre: f64,
    /// The placement of the site.
    pub site: usize,
    storeys: Vec<(usize, Vec<usize>)>,
}

/// How a length unit is said: the entities from `#1` on, the last of which is the unit.
pub const METRE: &[&str] = &["IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.)"];
pub const MILLIMETRE: &[&str] = &["IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.)"];
pub const FOOT: &[&str] = &[
    "IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.)",
    "IFCMEASUREWITHUNIT(IFCLENGTHMEASURE(0.3048),#1)",
    "IFCCONVERSIONBASEDUNIT($,.LENGTHUNIT.,'FOOT',#2)",
];

impl Model {
    pub fn new(unit: &[&str], per_metre: f64) -> Self {
        let lines = unit.iter().map(|line| (*line).to_owned()).collect();
        let mut model = Self { lines, per_metre, site: 0, storeys: Vec::new() };
        let unit = unit.len();
        model.add(format!("IFCUNITASSIGNMENT((#{unit}))"));
        model.site = model.placement(None, [0.0; 3], 0.0);
        model
    }

    /// Adds an entity and gives its number.
    pub fn add(&mut self, entity: impl Into<String>) -> usize {
        self.lines.push(entity.into());
        self.lines.len()
    }

    fn numbers(&self, metres: &[f64]) -> String {
        let all = metres.iter().map(|metre| format!("{:?}", metre * self.per_metre));
        all.collect::<Vec<_>>().join(",")
    }

    fn point(&mut self, metres: &[f64]) -> usize {
        let point = format!("IFCCARTESIANPOINT(({}))", self.numbers(metres));
        self.add(point)
    }

    /// A placement in another, turned about the upright by degrees.
    pub fn placement(&mut self, within: Option<usize>, at: [f64; 3], turned_deg: f64) -> usize {
        let (sin, cos) = turned_deg.to_radians().sin_cos();
        let at = self.point(&at);
        let up = self.add("IFCDIRECTION((0.,0.,1.))");
        let along = self.add(format!("IFCDIRECTION(({cos:?},{sin:?},0.))"));
        let axes = self.add(format!("IFCAXIS2PLACEMENT3D(#{at},#{up},#{along})"));
        let within = within.map_or("$".to_owned(), |within| format!("#{within}"));
        self.add(format!("IFCLOCALPLACEMENT({within},#{axes})"))
    }

    /// A storey at a height, metres, with the elevation that it says; gives its placement.
    pub fn storey(&mut self, name: &str, height_m: f64, elevation: Option<f64>) -> usize {
        let placement = self.placement(Some(self.site), [0.0, 0.0, height_m], 0.0);
        let said = elevation.map_or("$".to_owned(), |metres| self.numbers(&[metres]));
        let storey =
            format!("IFCBUILDINGSTOREY('g',$,'{name}',$,$,#{placement},$,$,.ELEMENT.,{said})");
        let storey = self.add(storey);
        self.storeys.push((storey, Vec::new()));
        placement
    }

    fn rectangle(&mut self, low: [f64; 2], high: [f64; 2]) -> usize {
        let middle = self.point(&[(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0]);
        let axes = self.add(format!("IFCAXIS2PLACEMENT2D(#{middle},$)"));
        let size = self.numbers(&[high[0] - low[0], high[1] - low[1]]);
        self.add(format!("IFCRECTANGLEPROFILEDEF(.AREA.,$,#{axes},{size})"))
    }

    /// A profile with straight edges.
    pub fn outline(&mut self, corners: &[[f64; 2]]) -> usize {
        let points: Vec<String> = corners.iter().map(|at| format!("#{}", self.point(at))).collect();
        let line = self.add(format!("IFCPOLYLINE(({},{}))", points.join(","), points[0]));
        self.add(format!("IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#{line})"))
    }

    /// The representation of a profile drawn upwards.
    pub fn upright(&mut self, profile: usize, from_m: f64, high_m: f64) -> usize {
        let at = self.point(&[0.0, 0.0, from_m]);
        let axes = self.add(format!("IFCAXIS2PLACEMENT3D(#{at},$,$)"));
        let up = self.add("IFCDIRECTION((0.,0.,1.))");
        let high = self.numbers(&[high_m]);
        let solid = self.add(format!("IFCEXTRUDEDAREASOLID(#{profile},#{axes},#{up},{high})"));
        self.add(format!("IFCSHAPEREPRESENTATION($,'Body','SweptSolid',(#{solid}))"))
    }

    /// A box from one corner to the other.
    pub fn block(&mut self, low: [f64; 3], high: [f64; 3]) -> usize {
        let profile = self.rectangle([low[0], low[1]], [high[0], high[1]]);
        self.upright(profile, low[2], high[2] - low[2])
    }

    pub fn axis(&mut self, from: [f64; 2], to: [f64; 2]) -> usize {
        let (from, to) = (self.point(&from), self.point(&to));
        let line = self.add(format!("IFCPOLYLINE((#{from},#{to}))"));
        self.add(format!("IFCSHAPEREPRESENTATION($,'Axis','Curve2D',(#{line}))"))
    }

    /// An element with its representations.
    pub fn element(&mut self, kind: &str, placement: usize, shapes: &[usize], more: &str) -> usize {
        let shape = if shapes.is_empty() {
            "$".to_owned()
        } else {
            let shapes: Vec<String> = shapes.iter().map(|shape| format!("#{shape}")).collect();
            format!(
                "#{}",
                self.add(format!("IFCPRODUCTDEFINITIONSHAPE($,$,({}))", shapes.join(",")))
            )
        };
        self.add(format!("{kind}('g',$,'{kind}',$,$,#{placement},{shape},{more})"))
    }

    /// Puts an element into the last storey.
    pub fn keep(&mut self, element: usize) {
        self.storeys.last_mut().unwrap().1.push(element);
    }

    /// A wall along the first axis of a placement of its own, on the last storey, with a body.
    pub fn wall(
        &mut self,
        storey: usize,
        at: [f64; 2],
        turned_deg: f64,
        long_m: f64,
    ) -> (usize, usize) {
        let placement = self.placement(Some(storey), [at[0], at[1], 0.0], turned_deg);
        let axis = self.axis([0.0, 0.0], [long_m, 0.0]);
        let body = self.block([0.0, -0.15, 0.0], [long_m, 0.15, 2.5]);
        let wall = self.element("IFCWALLSTANDARDCASE", placement, &[axis, body], "$");
        self.keep(wall);
        (wall, placement)
    }

    /// Four walls around a room, 6 m by 4 m to the middles of walls; gives the first and its
    /// placement.
    pub fn room(&mut self, storey: usize) -> (usize, usize) {
        let first = self.wall(storey, [0.0, 0.0], 0.0, 6.0);
        self.wall(storey, [6.0, 0.0], 90.0, 4.0);
        self.wall(storey, [6.0, 4.0], 180.0, 6.0);
        self.wall(storey, [0.0, 4.0], 270.0, 4.0);
        first
    }

    /// An opening in a wall, from place to place along it, with what fills it.
    pub fn opening(
        &mut self,
        (wall, placement): (usize, usize),
        along: (f64, f64),
        heights: (f64, f64),
        filling: Option<&str>,
    ) {
        let placement = self.placement(Some(placement), [along.0, 0.0, heights.0], 0.0);
        let size = [along.1 - along.0, 0.2, heights.1 - heights.0];
        let body = self.block([0.0, -0.2, 0.0], size);
        let opening = self.element("IFCOPENINGELEMENT", placement, &[body], "$");
        self.add(format!("IFCRELVOIDSELEMENT('g',$,$,$,#{wall},#{opening})"));
        if let Some(kind) = filling {
            let size = self.numbers(&[size[2], size[0]]);
            let leaf = self.element(kind, placement, &[], &format!("$,{size}"));
            self.keep(leaf);
            self.add(format!("IFCRELFILLSELEMENT('g',$,$,$,#{opening},#{leaf})"));
        }
    }

    /// Layers of a material for an element: names and millimetres.
    pub fn layers(&mut self, element: usize, layers: &[(&str, f64)]) {
        self.layers_along("AXIS2", element, layers);
    }

    /// The same along an axis of the element's frame.
    pub fn layers_along(&mut self, axis: &str, element: usize, layers: &[(&str, f64)]) {
        let layers: Vec<String> = layers
            .iter()
            .map(|(name, mm)| {
                let material = self.add(format!("IFCMATERIAL('{name}')"));
                let thick = self.numbers(&[mm / 1e3]);
                format!("#{}", self.add(format!("IFCMATERIALLAYER(#{material},{thick},$)")))
            })
            .collect();
        let set = self.add(format!("IFCMATERIALLAYERSET(({}),$)", layers.join(",")));
        let half = self.numbers(&[-0.15]);
        let usage =
            self.add(format!("IFCMATERIALLAYERSETUSAGE(#{set},.{axis}.,.POSITIVE.,{half})"));
        self.add(format!("IFCRELASSOCIATESMATERIAL('g',$,$,$,(#{element}),#{usage})"));
    }

    /// Says of a wall that it is an outside one.
    pub fn is_external(&mut self, wall: usize) {
        let said = self.add("IFCPROPERTYSINGLEVALUE('IsExternal',$,IFCBOOLEAN(.T.),$)");
        let set = self.add(format!("IFCPROPERTYSET('g',$,'Pset_WallCommon',$,(#{said}))"));
        self.add(format!("IFCRELDEFINESBYPROPERTIES('g',$,$,$,(#{wall}),#{set})"));
    }

    /// The file.
    pub fn text(mut self) -> String {
        for (storey, elements) in std::mem::take(&mut self.storeys) {
            let all: Vec<String> = elements.iter().map(|it| format!("#{it}")).collect();
            if !all.is_empty() {
                let all = all.join(",");
                self.add(format!("IFCRELCONTAINEDINSPATIALSTRUCTURE('g',$,$,$,({all}),#{storey})"));
            }
        }
        let lines = self.lines.iter().enumerate();
        let lines: Vec<String> = lines.map(|(at, line)| format!("#{}={line};", at + 1)).collect();
        format!(
            "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\n\
             FILE_NAME('','',(''),(''),'','','');\n\
             FILE_SCHEMA(('IFC4'));\nENDSEC;\nDATA;\n{}\nENDSEC;\nEND-ISO-10303-21;\n",
            lines.join("\n")
        )
    }

    pub fn read(self) -> (Draft, Plan) {
        imported(Kind::Ifc, "small.ifc", self.text().as_bytes(), &plain())
    }
}

/// Whether a draft notes something with these words about a thing.
pub fn notes(draft: &Draft, about: &str, words: &str) -> bool {
    draft.guesses.iter().any(|guess| guess.about.contains(about) && guess.taken.contains(words))
}

/// How long all walls of a level are, metres.
pub fn walls_m(plan: &Plan, level: i32) -> f64 {
    let walls = plan.walls.iter().filter(|wall| wall.level == level);
    let lines = walls.flat_map(|wall| wall.line.lines().collect::<Vec<_>>());
    lines.map(|line| line.dx().hypot(line.dy())).sum()
}
