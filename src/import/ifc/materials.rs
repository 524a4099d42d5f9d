//! What walls, leaves and solids are built of, by the names of their materials.

use std::collections::BTreeMap;

use super::links::Links;
use super::notes::{Notes, Weight};
use super::step::Model;
use crate::columns::COLUMN_FACE;
use crate::{DOOR, LEAVE_OUT, Settings, WINDOW};
use plan::{Construction, Layer, quoted};

/// Words of material names, and the material of the plan's layers that they stand for: the first
/// that fits. A word with `=` before it must be a word of its own, others may be part of one. The
/// words are English, German, French, Spanish, Italian, Portuguese, Dutch, Swedish, Danish,
/// Norwegian, Finnish, Polish and Czech (from memory, not confirmed); what they stand for is our
/// own choice.
const WORDS: [(&str, &str); 22] = [
    ("glass", "isolierglas insulating-glass insulated-glass double-glaz isolerglas"),
    ("", "membrane dampfsperre dampfbremse vapour vapor pare-vapeur barriera-al =film =folie =pe"),
    (
        "air",
        "=air =luft luftschicht hohlraum =cavity =aire =aria =lucht =spouw lame-d'air =ar =void",
    ),
    ("rigid-foam", "=eps =xps =pur =pir polystyr polyur poliur =foam schaum mousse espuma schiuma"),
    (
        "mineral-wool",
        "insul fiberglass fibreglass glasfaser =batt =batts \
         dämm daemm isola isole isoli aisla =wool wolle laine =lana =wol =vata =ull eriste \
         wełna wata minerální izola утепл вата каркас 断熱 保温 stud ständer staender ossature \
         framing montant holzrahmen timber-frame regelverk stender stijl",
    ),
    (
        "aerated-block",
        "leichtbeton porenbeton gasbeton aerated lightweight-concrete lightweight-block =aac \
         cellulaire cellenbeton lättbetong lättklinker celular cellulare pórobeton gazobeton \
         bloczki газобетон пенобетон керамзит",
    ),
    (
        "dense-block",
        "concrete-block concrete-masonry =cmu betonstein parpaing bloc-béton betonblok \
         kalksandstein sand-lime calcium-silicate kalkzandsteen kalksandsten silikat bloque \
         blocchi =block =blocks blockwork шлакоблок 混凝土砌块",
    ),
    (
        "screed",
        "screed estrich =chape massetto recrecido dekvloer avjämning jastrych betonilha стяжк",
    ),
    (
        "concrete",
        "concrete beton béton calcestruzzo hormigón hormigon betão betao =cement cemento бетон \
         コンクリート 混凝土",
    ),
    (
        "plasterboard",
        "plasterboard gypsum drywall gips plaque-de-plâtre cartongesso yeso-laminado kipsi \
         sádrokarton gesso-acartonado гипс 石膏ボード 石膏板",
    ),
    (
        "plaster",
        "plaster putz enduit plâtre intonaco revoco enlucido yeso =stuc stucco =puts =puds =puss \
         render mortar mörtel mortier =malta mortero tynk rappaus reboco omítka argamassa \
         штукатур モルタル 砂浆",
    ),
    ("ceramic-tile", "=tile =tiles fliese carrelage piastrell azulejo ceramic keramik kakel"),
    (
        "brick",
        "brick ziegel klinker mauerwerk brique ladrillo matton laterizio baksteen tegel tijolo \
         tiili cegł cihl mursten murstein masonry metselwerk maçonnerie muratura \
         кирпич レンガ 砖",
    ),
    ("metal", "alumin =alu steel stahl acier acero acciaio =aço staal =stål teräs =stal =ocel"),
    (
        "metal",
        "metal metall métal zinc =zink copper kupfer blech =tôle lamiera =chapa =iron сталь \
         металл алюмин",
    ),
    ("chipboard", "chipboard =osb spanplatte agglomér truciolar spaanplaat particle spånskiv"),
    ("mdf", "=mdf"),
    (
        "wood",
        "wood timber holz =bois legno madera madeira =hout =trä =træ =tre =puu drewn lumber \
         =oak =pine eiche fichte sapin chêne dřevo plywood sperrholz contreplaqu multiplex \
         дерев древесин 木材",
    ),
    (
        "glass",
        "glass =glas glaz verre =vetro vidrio vidro =lasi szkło =sklo vitrage verglas стекло",
    ),
    ("marble", "marble marmor marbre mármol marmo granit"),
    (
        "stone",
        "stone naturstein =stein sandstein pierre pietra piedra pedra natuursteen =sten =kivi \
         kamień =kámen",
    ),
    ("vinyl-tile", "vinyl =pvc linoleum"),
];
/// Layers no thicker than this, millimetres, are taken as plaster if their material is not known,
/// and are left out if it is a membrane (our own choice).
const THIN_MM: f64 = 30.0;
/// A layer no thicker than this has no thickness, millimetres.
const NO_THICKNESS_MM: f64 = 0.05;
/// Most layers of a construction of the plan's own.
const MAX_LAYERS: usize = 50;
/// Thickest layer, millimetres.
const MAX_LAYER_MM: f64 = 2_000.0;
/// Longest name of such a construction, in characters.
const LONGEST_NAME: usize = 60;

/// A layer as the model has it: the material's name and how thick it is, millimetres.
pub(super) type ModelLayer = (String, f64);

/// What an element is said to be made of.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Made {
    /// Name of the set of layers.
    pub(super) set: Option<String>,
    /// Layers with their thicknesses, from one face to the other; nothing where there are none.
    pub(super) layers: Vec<ModelLayer>,
    /// Materials without a thickness.
    pub(super) materials: Vec<String>,
    /// Where the first layer begins beside the reference line, metres, and on which side the others
    /// follow, +1 or −1; nothing where layers are not used on a wall.
    pub(super) offset: Option<(f64, f64)>,
    /// Of a slab: whether its layers lie from below upwards, where the model says it.
    pub(super) is_upwards: Option<bool>,
}

/// What an element is made of, as far as the model says it. `metres` are in its unit of length.
pub(super) fn made(model: &Model<'_>, links: &Links, element: u32, metres: f64) -> Made {
    let mut made = Made::default();
    let mut next = links.material(element);
    let name = |number: u32| model.get_as(number, "IFCMATERIAL").and_then(|it| it.text(0));
    // A use of a set, a set, a material: three steps at the most.
    for _ in 0..3 {
        let Some(args) = next.take().and_then(|number| model.get(number)) else { break };
        match args.kind {
            "IFCMATERIALLAYERSETUSAGE" => {
                let across = args.word(1) == b"AXIS2";
                let side = if args.word(2) == b"NEGATIVE" { -1.0 } else { 1.0 };
                made.offset = args.number(3).filter(|_| across).map(|at| (at * metres, side));
                made.is_upwards = (args.word(1) == b"AXIS3").then_some(side > 0.0);
                next = args.reference(0);
            }
            "IFCMATERIALLAYERSET" => {
                made.set = args.text(1);
                for layer in args.references(0).into_iter().take(MAX_LAYERS) {
                    let Some(layer) = model.get_as(layer, "IFCMATERIALLAYER") else { continue };
                    let material = layer.reference(0).and_then(name).unwrap_or_default();
                    let mm = layer.number(1).unwrap_or(0.0) * metres * 1e3;
                    made.layers.push((material, (mm * 10.0).round() / 10.0));
                }
            }
            "IFCMATERIAL" => made.materials.extend(args.text(0)),
            "IFCMATERIALLIST" => {
                made.materials.extend(args.references(0).into_iter().filter_map(name));
            }
            "IFCMATERIALPROFILESETUSAGE" => next = args.reference(0),
            "IFCMATERIALPROFILESET" => {
                let parts = args.references(2).into_iter();
                let parts = parts.filter_map(|it| model.get_as(it, "IFCMATERIALPROFILE"));
                made.materials.extend(parts.filter_map(|it| name(it.reference(2)?)));
            }
            "IFCMATERIALCONSTITUENTSET" => {
                let parts = args.references(2).into_iter();
                let parts = parts.filter_map(|it| model.get_as(it, "IFCMATERIALCONSTITUENT"));
                made.materials.extend(parts.filter_map(|it| name(it.reference(2)?)));
            }
            _ => {}
        }
    }
    made
}

impl Made {
    /// Whether the layers are others from the other face.
    pub(super) fn has_sides(&self) -> bool {
        !self.layers.iter().eq(self.layers.iter().rev())
    }

    /// The same from the other face.
    pub(super) fn reversed(&self) -> Self {
        Self { layers: self.layers.iter().rev().cloned().collect(), ..self.clone() }
    }

    /// How thick all layers are together, metres.
    pub(super) fn thickness_m(&self) -> f64 {
        self.layers.iter().map(|(_, mm)| mm / 1e3).sum()
    }

    /// The name that the user would map: of the set, else of the thickest layer's material, else
    /// of the first material.
    fn names(&self) -> impl Iterator<Item = &str> {
        let thickest = self.layers.iter().max_by(|a, b| a.1.total_cmp(&b.1));
        let thickest = thickest.map(|(name, _)| name.as_str());
        let set = self.set.as_deref();
        set.into_iter().chain(thickest).chain(self.materials.iter().map(String::as_str))
    }

    pub(super) fn mapped<'s>(&self, settings: &'s Settings) -> Option<&'s str> {
        self.names().find_map(|name| settings.map.get(name)).map(String::as_str)
    }
}

/// The material of the plan's layers that a name stands for; empty for a membrane.
fn material(name: &str) -> Option<&'static str> {
    let name = name.to_lowercase();
    let words: Vec<&str> = name.split(|it: char| !it.is_alphanumeric()).collect();
    let spaced = format!(" {name} ");
    let fits = |word: &str| match word.strip_prefix('=') {
        Some(whole) => words.contains(&whole),
        None => spaced.contains(word) || spaced.contains(&word.replace('-', " ")),
    };
    WORDS.iter().find(|(_, all)| all.split_whitespace().any(fits)).map(|(material, _)| *material)
}

/// Constructions of walls and slabs, each once.
#[derive(Default)]
pub(super) struct Constructions {
    pub(super) own: BTreeMap<String, Construction>,
}

impl Constructions {
    /// The construction of an element that is so thick, metres; nothing if nobody says what it is
    /// made of, or the names say nothing.
    pub(super) fn of(
        &mut self,
        made: &Made,
        thickness_m: f64,
        settings: &Settings,
        notes: &mut Notes,
    ) -> Option<String> {
        let mut layers = made.layers.clone();
        if let ([], [only]) = (layers.as_slice(), made.materials.as_slice()) {
            layers.push((only.clone(), (thickness_m * 1e4).round() / 10.0));
        }
        let mut taken: Vec<(&str, f64)> = Vec::new();
        for (name, mm) in &layers {
            let known = material(name);
            // Metal keeps out radio however thin it is.
            let thin = *mm <= NO_THICKNESS_MM;
            let foil = thin && known == Some("metal");
            if (thin && !foil) || (known == Some("") && *mm <= THIN_MM) {
                continue;
            }
            let mm = if foil { NO_THICKNESS_MM } else { mm.min(MAX_LAYER_MM) };
            let (about, fix) = (
                format!("material {}", quoted(name)),
                format!("--map {name:?}=CONSTRUCTION for walls that are mostly of it"),
            );
            let known = known.filter(|known| !known.is_empty());
            let Some(known) = known.or_else(|| (mm <= THIN_MM).then_some("plaster")) else {
                let taken = "names nothing known here: the usual construction was taken";
                notes.tell(Weight::Taken, (&about, taken, &fix), None);
                return None;
            };
            let said = format!("was taken as {known} in the layers of the plan's constructions");
            notes.tell(Weight::Taken, (&about, &said, &fix), None);
            match taken.last_mut() {
                Some(last) if last.0 == known => last.1 += mm,
                _ => taken.push((known, mm)),
            }
        }
        if taken.is_empty() || taken.len() > MAX_LAYERS {
            return None;
        }
        let words = taken.iter().map(|(material, mm)| format!("{material}-{}", mm.round()));
        let name = words.collect::<Vec<_>>().join("-");
        let layers = taken.into_iter().map(|(material, thickness_mm)| Layer::Bulk {
            material: material.to_owned(),
            thickness_mm: (thickness_mm * 100.0).round() / 100.0,
        });
        Some(self.named(&name, Construction::Layers(layers.collect()), settings))
    }

    /// The name of a construction of these layers: a built-in one keeps its own.
    fn named(&mut self, wish: &str, layers: Construction, settings: &Settings) -> String {
        let mut wish: String = wish.chars().take(LONGEST_NAME).collect();
        wish.truncate(wish.trim_end_matches('-').len());
        let built_in = |name: &str| settings.known_thickness_m(name).is_some();
        let mut name = wish.clone();
        for number in 2.. {
            match self.own.get(&name) {
                Some(known) if *known == layers => break,
                None if !built_in(&name) => {
                    self.own.insert(name.clone(), layers);
                    break;
                }
                _ => name = format!("{wish}-no-{number}"),
            }
        }
        name
    }
}

/// The construction of a door's leaf or a window's pane; nothing if the user leaves it out.
pub(super) fn leaf(
    made: &Made,
    name: Option<&str>,
    is_window: bool,
    settings: &Settings,
    notes: &mut Notes,
) -> Option<String> {
    if let Some(mapped) = made.mapped(settings) {
        return (mapped != LEAVE_OUT).then(|| mapped.to_owned());
    }
    if is_window {
        let taken = format!("were taken as {WINDOW}");
        let fix = "coated panes keep out far more: --map MATERIAL=CONSTRUCTION, or correct \
                   \"construction\" in the plan";
        notes.tell(Weight::Taken, ("windows", &taken, fix), None);
        return Some(WINDOW.to_owned());
    }
    let all = made.names().chain(name);
    let known: Vec<&str> = all.filter_map(material).collect();
    let garage = name.is_some_and(|name| name.to_lowercase().contains("garage"));
    let has = |wanted: &str| known.contains(&wanted);
    let taken = match () {
        () if garage && has("wood") => "garage-door-timber",
        () if garage => "garage-door-steel",
        () if has("glass") => "door-glazed",
        () if has("metal") => "door-steel",
        () => DOOR,
    };
    let about = if known.is_empty() && !garage { "doors of no known material" } else { "doors" };
    let said = format!("were taken as {taken}");
    let fix = "--map MATERIAL=CONSTRUCTION, or \"construction\" in the plan";
    notes.tell(Weight::Taken, (about, &said, fix), None);
    Some(taken.to_owned())
}

/// The construction of one face of a column of these materials: a wave goes through two.
pub(super) fn face(made: &Made) -> &'static str {
    match made.names().find_map(material) {
        Some("metal") => "sheet-metal",
        Some("wood" | "chipboard" | "mdf") => "stud-partition",
        Some("brick") => "brick-half",
        _ => COLUMN_FACE,
    }
}

/// Every material that a name may be taken for.
pub fn all() -> impl Iterator<Item = &'static str> {
    WORDS.iter().map(|(material, _)| *material).filter(|material| !material.is_empty())
}
