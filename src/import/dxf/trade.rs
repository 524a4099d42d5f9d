//! Words of the trade in names of layers and blocks: walls, doors, windows, and what is none of
//! them. Whole words only: `ELIGHTWALL` names lights.
//!
//! All words are from memory, not confirmed, and without accents: those of a name are taken off
//! first. In languages that write compounds as one word, a word may end in the one for wall, door
//! or window (`Aussenwand`, `Haustuer`, `ytterdorr`).

use super::layers::Use;

/// Whole words for walls: English, French, German, Spanish, Italian, Portuguese, Dutch, Swedish,
/// Danish and Norwegian, Finnish, Polish, Czech and Slovak, Hungarian, Romanian, Turkish, Russian
/// and Ukrainian, Greek, Japanese, Chinese, Korean.
const WALLS: &str = "\
    wall walls partition partitions ptn mur murs muret cloison cloisons wand waende wande \
    mauer mauern mauerwerk pared paredes muro muros tabique tabiques tabiqueria muri parete \
    pareti tramezzo tramezzi muratura murature tamponamento parede alvenaria maconnerie \
    mamposteria masonry muur muren wanden vagg vaggar vaeg vaegg \
    vaeggar vaegge vegg vegger seina seinat seinae seinaet sciana sciany stena steny zdivo \
    zed zdi fal falak perete pereti zid ziduri duvar duvarlar стена стены стiна стіна стіни \
    перегородка перегородки τοιχος τοιχοι 壁 外壁 内壁 墙 墙体 墙线 벽 벽체";
const DOORS: &str = "\
    door doors dr sldr slider sliders gate porte portes tuer tueren tur turen tor puerta \
    puertas porta portas deur deuren dorr dorrar doerr doerrar dor dorer doer doere doerer \
    ovi ovet drzwi dvere ajto ajtok usa usi kapi kapilar дверь двери двері πορτα πορτες θυρα \
    扉 ドア 戸 建具 门 문";
const WINDOWS: &str = "\
    window windows win wdw wndw glaz glazing glass skylight fenster fenetre fenetres \
    vitrage verre vidrio vidrios cristal cristales vidro vidros vetro vetri vetrata ventana \
    ventanas finestra finestre janela janelas raam ramen kozijn kozijnen \
    fonster foenster vindu vinduer vindue ikkuna ikkunat okno okna ablak ablakok fereastra \
    ferestre pencere pencereler окно окна вiкно вікно вікна παραθυρο παραθυρα 窓 サッシ 窗 窗户 창 \
    창문";
/// Whole words for doors and windows together.
const BOTH: &str = "\
    infissi infisso serramenti serramento aperture apertura carpinteria carpinterias vanos \
    abertura aberturas esquadria esquadrias caixilho caixilhos vaos menuiserie menuiseries \
    huisserie huisseries baies ouvertures oeffnung oeffnungen stolarka проем проемы joinery \
    fenestration 门窗 門窓 門窗 창호";
const COLUMNS: &str = "\
    column columns col cols pillar pillars pilaster stuetze stuetzen saeule saeulen poteau \
    poteaux pilier piliers colonne colonnes columna columnas pilar pilares pilastro pilastri \
    colonna coluna colunas kolom kolommen pelare soejle soejler soyle soyler pylvas pylvaes \
    pilari slup slupy sloup sloupy stlp stlpy oszlop pillér stalp stalpi kolon kolonlar \
    колонна колонны колона колони υποστυλωμα κολωνα 柱 柱子 기둥";
/// Stairs: never walls, even where the name says wall, too.
const STAIRS: &str = "\
    stair stairs strs escalier escaliers treppe treppen escalera escaleras scala scale \
    escada escadas trap trappen trappa trappor trapp trappe portaat schody schodiste lepcso \
    scari merdiven лестница лестницы сходи σκαλα 階段 楼梯 계단";
/// Signs of names that are written without spaces, with what they say.
const SIGNS: [(&str, Use); 14] = [
    ("标注", Use::Notes),
    ("尺寸", Use::Notes),
    ("文字", Use::Notes),
    ("寸法", Use::Notes),
    ("轴", Use::Notes),
    ("墙", Use::Wall),
    ("壁", Use::Wall),
    ("门", Use::Door),
    ("門", Use::Door),
    ("扉", Use::Door),
    ("建具", Use::DoorOrWindow),
    ("窗", Use::Window),
    ("窓", Use::Window),
    ("柱", Use::Column),
];
/// Endings of compounds, with what they are.
const ENDINGS: [(&str, Use); 28] = [
    ("wand", Use::Wall),
    ("waende", Use::Wall),
    ("wande", Use::Wall),
    ("wanden", Use::Wall),
    ("mauer", Use::Wall),
    ("mauern", Use::Wall),
    ("muur", Use::Wall),
    ("vagg", Use::Wall),
    ("vaggar", Use::Wall),
    ("vaegg", Use::Wall),
    ("vaeggar", Use::Wall),
    ("vegg", Use::Wall),
    ("seinae", Use::Wall),
    ("seina", Use::Wall),
    ("tuer", Use::Door),
    ("tueren", Use::Door),
    ("turen", Use::Door),
    ("deur", Use::Door),
    ("deuren", Use::Door),
    ("dorr", Use::Door),
    ("dorrar", Use::Door),
    ("doerr", Use::Door),
    ("doerrar", Use::Door),
    ("fenster", Use::Window),
    ("raam", Use::Window),
    ("fonster", Use::Window),
    ("foenster", Use::Window),
    ("vindu", Use::Window),
];
/// Words that stand before others without a space: `extwall`, `newdoors`.
const BEFORE: &str = "\
    ext int exterior interior external internal outer inner outside inside new old exist \
    existing main party stud brick block concrete conc garage front back entry and a arch";
/// Texts, hatches and measures, in names about walls, doors and windows, too.
const NOTES: &str = "\
    text texts txt texte texto dim dims dimension dimensions cotas cotes masse bemassung \
    hatch hatching patt pattern note notes anno schraffur tag tags title iden legend grid \
    axis axes header headers beam beams roof ceiling clng footer footing footings foundation \
    fndn defpoints elev elevation section przekroj elewacja schnitt ansicht coupe sezione \
    prospetto corte alzado fachada seccion разрез фасад 剖面 立面";
/// What makes no wall of a name that says wall: symbols, furniture, lights on it, walls below.
const NO_WALL: &str = "\
    furnitures moebel mobili arredi muebles mobiliario moveis meubles mobilier mebel мебель \
    家具 fixture fixtures sanitary sanitaires plumbing equip equipment appliances beam viga 梁 \
    symb symbol symbols furn furniture light lights elec lamp stem retaining cabinet \
    cabinets socket switch tile tiles finish fini fitting fittings sanitario sanitarios storage";
/// The same where no name says wall: sheets, railings, hatching, what stands outdoors.
const NEVER_WALLS: &str = "\
    frame border titleblock titelblock sheet marco cadre rahmen blattrahmen cartouche cartiglio \
    squadratura cajetin carimbo ramka ramki tabelka legenda leyenda legende рамка штамп 图框 図枠 \
    railing railings rail rails handrail balustrade gelaender baranda barandilla ringhiera \
    corrimao fence fences zaun cerca recinzione trama tramas tratteggio retino hachure \
    hachures rayado sombreado kratkowanie штриховка plants planting trees tree topo topography \
    terreno landscape landscaping road";

/// What a layer or block of this name holds.
pub(super) fn use_of(name: &str) -> Use {
    let words = words(name);
    let has = |list: &str| words.iter().any(|word| is_in(list, word));
    let is = |meant| words.iter().any(|word| meanings(word).contains(&meant));
    if has(NOTES) || is(Use::Notes) {
        return Use::Notes;
    }
    if has(STAIRS) {
        return Use::Other;
    }
    match (is(Use::Door), is(Use::Window)) {
        _ if is(Use::DoorOrWindow) => Use::DoorOrWindow,
        (true, true) => Use::DoorOrWindow,
        (true, false) => Use::Door,
        (false, true) => Use::Window,
        _ if is(Use::Wall) && !has(NO_WALL) => Use::Wall,
        _ if is(Use::Column) && !has(NO_WALL) => Use::Column,
        _ => Use::Other,
    }
}

/// Whether a name says that its lines are no walls, however they run.
pub(super) fn is_no_wall(name: &str) -> bool {
    let words = words(name);
    let has = |list: &str| words.iter().any(|word| is_in(list, word));
    has(NO_WALL) || has(NEVER_WALLS) || has(STAIRS) || has(NOTES)
}

/// Whether a layer or block of this name holds stairs.
pub(super) fn is_of_stairs(name: &str) -> bool {
    words(name).iter().any(|word| is_in(STAIRS, word))
}

/// Whether a list, with spaces between its words, has a word.
fn is_in(list: &str, word: &str) -> bool {
    list.split_ascii_whitespace().any(|known| known == word)
}

/// What a word means: one of the lists, a compound that ends like one, or several of them put
/// together.
fn meanings(word: &str) -> Vec<Use> {
    let lists = [
        (WALLS, Use::Wall),
        (DOORS, Use::Door),
        (WINDOWS, Use::Window),
        (BOTH, Use::DoorOrWindow),
        (COLUMNS, Use::Column),
    ];
    let whole =
        |part: &str| lists.iter().find(|(list, _)| is_in(list, part)).map(|(_, meant)| *meant);
    if let Some(meant) = whole(word) {
        return vec![meant];
    }
    let signs = SIGNS.iter().filter(|(sign, _)| word.contains(sign));
    let signs: Vec<Use> = signs.map(|(_, meant)| *meant).collect();
    if !signs.is_empty() {
        return signs;
    }
    let mut rest = word;
    let mut found = Vec::new();
    while !rest.is_empty() {
        // The longest that fits, and of four letters if it is not one that stands before others.
        let known = rest.char_indices().map(|(at, c)| at + c.len_utf8()).rev().find_map(|end| {
            let part = &rest[..end];
            let meant = whole(part).filter(|_| part.chars().count() >= 4);
            (meant.is_some() || is_in(BEFORE, part)).then_some((end, meant))
        });
        let Some((end, meant)) = known else {
            let ending = ENDINGS.iter().filter(|(end, _)| word.len() > end.len() + 2);
            let longest = ending.filter(|(end, _)| word.ends_with(end)).max_by_key(|e| e.0.len());
            return longest.map(|(_, meant)| *meant).into_iter().collect();
        };
        found.extend(meant);
        rest = &rest[end..];
    }
    found
}

/// The words of a name, small and without accents: letters in a row, and `Wall` and `Ext` of
/// `WallExt`.
fn words(name: &str) -> Vec<String> {
    let mut words: Vec<String> = vec![String::new()];
    let mut was_small = false;
    for c in name.chars() {
        if !c.is_alphabetic() || (was_small && c.is_uppercase()) {
            words.push(String::new());
        }
        was_small = c.is_lowercase();
        if let Some(word) = words.last_mut().filter(|_| c.is_alphabetic()) {
            c.to_lowercase().for_each(|c| plain(c, word));
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

/// A small letter without its accent; German, Danish and Norwegian ones as they are spelt out.
fn plain(c: char, word: &mut String) {
    let letters = match c {
        'á' | 'à' | 'â' | 'ã' | 'å' | 'ă' => "a",
        'ä' | 'æ' => "ae",
        'ö' | 'ø' => "oe",
        'ü' => "ue",
        'é' | 'è' | 'ê' | 'ë' | 'ě' | 'ę' => "e",
        'í' | 'ì' | 'î' | 'ï' | 'ı' => "i",
        'ó' | 'ò' | 'ô' | 'õ' | 'ő' => "o",
        'ú' | 'ù' | 'û' | 'ű' | 'ů' => "u",
        'ç' | 'č' | 'ć' => "c",
        'ñ' | 'ń' | 'ň' => "n",
        'ș' | 'ş' | 'š' | 'ś' => "s",
        'ț' | 'ţ' | 'ť' => "t",
        'ž' | 'ź' | 'ż' => "z",
        'ř' => "r",
        'ý' => "y",
        'ł' => "l",
        'ß' => "ss",
        'ά' => "α",
        'έ' => "ε",
        'ή' => "η",
        'ί' => "ι",
        'ό' => "ο",
        'ύ' => "υ",
        'ώ' => "ω",
        // A combining dot or accent of a letter that was written in two.
        '\u{300}'..='\u{36f}' => "",
        other => return word.push(other),
    };
    word.push_str(letters);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_words_in_many_languages_say_what_a_layer_holds() {
        let walls = "A-WALL,Walls,EXTWALLS,WallExterior,Außenwand,INNENWÄNDE,Mur porteur,PAREDES,\
                     muri,Paredes 15,binnenmuur,Ytterväggar,VEGG,Ulkoseinä,ściana,Stěny,falak,\
                     pereți,DUVAR,СТЕНЫ,Τοίχοι,壁,墙线,벽체,墙体线,MURATURA,x$0$A-WALL-FULL,cloison";
        for name in walls.split(',') {
            assert!(use_of(name) == Use::Wall, "{name}");
        }
        let doors = "A-DOOR,Türen,Haustür,PORTE,Puertas,porta,buitendeur,dörrar,dør,ovet,drzwi,\
                     dveře,ajtó,uși,KAPI,ДВЕРИ,Πόρτα,扉,门,门线,문,SLDR60,DR36";
        for name in doors.split(',') {
            assert!(use_of(name) == Use::Door, "{name}");
        }
        let windows = "A-GLAZ,WIN6,Fenster,Dachfenster,FENÊTRE,Ventanas,finestre,janela,raam,\
                       fönster,vindu,ikkuna,okna,ablak,ferestre,PENCERE,ОКНА,Παράθυρο,窓,窗线,창문";
        for name in windows.split(',') {
            assert!(use_of(name) == Use::Window, "{name}");
        }
        for name in ["doorswindows", "INFISSI", "Carpinterías", "门窗"] {
            assert!(use_of(name) == Use::DoorOrWindow, "{name}");
        }
        let columns = "A-COLS,S-COLUMN,Stützen,Poteaux,Pilares,PILASTRI,Kolommen,Колонны,柱,기둥";
        for name in columns.split(',') {
            assert!(use_of(name) == Use::Column, "{name}");
        }
        for name in [
            "ELIGHTWALL",
            "Murray",
            "WALLPAPER",
            "ESWITCH",
            "KAPITEL",
            "Torso",
            "A-WALL-TEXT",
            "墙体标注",
        ] {
            assert!(matches!(use_of(name), Use::Other | Use::Notes), "{name}");
        }
        for name in ["MARCO", "A-FRAME", "railings", "TRAMAS", "Kitchen fittings", "Escaleras"] {
            assert!(is_no_wall(name), "{name}");
        }
        assert!(!is_no_wall("sketch") && use_of("FRAME WALL") == Use::Wall);
    }
}
