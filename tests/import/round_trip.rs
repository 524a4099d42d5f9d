//! A plan that is drafted again and read again is the same plan, and then the same bytes.

use forecast::vocabulary;
use geo::Geometry;
use import::{Draft, DraftUnit, Piece, What};
use plan::{Plan, read_file, read_house};

/// All of a plan that a draft can hold.
fn drafted(plan: &Plan) -> Draft {
    let piece = |id: &str, level: i32, shape: Geometry<f64>, what: What| Piece {
        id: id.to_owned(),
        name: None,
        level,
        shape,
        what,
    };
    let above_floor =
        |level: i32, height_m: f64| Some(height_m - plan.level(level).unwrap().floor_m);
    let mut pieces = Vec::new();
    for wall in &plan.walls {
        pieces.push(piece(
            &wall.id,
            wall.level,
            wall.line.clone().into(),
            What::Wall {
                construction: wall.construction.clone(),
                thickness_mm: wall.thickness_mm,
                base_m: Some(wall.base_m),
                top_m: Some(wall.top_m),
            },
        ));
    }
    for opening in &plan.openings {
        let line = plan.opening_line(opening).unwrap();
        pieces.push(piece(
            &opening.id,
            plan.walls[opening.wall].level,
            line.into(),
            What::Opening {
                construction: opening.construction.clone(),
                entry: opening.entry,
                open: opening.open,
                base_m: Some(opening.base_m),
                top_m: Some(opening.top_m),
            },
        ));
    }
    for slab in &plan.slabs {
        let construction = slab.construction.clone();
        let shape = slab.outline.clone().into();
        pieces.push(piece(&slab.id, slab.level, shape, What::Slab { construction }));
    }
    for obstacle in &plan.obstacles {
        pieces.push(piece(
            &obstacle.id,
            obstacle.level,
            obstacle.outline.clone().into(),
            What::Obstacle {
                construction: obstacle.construction.clone(),
                base_m: Some(obstacle.base_m),
                top_m: Some(obstacle.top_m),
            },
        ));
    }
    for device in &plan.devices {
        let what = What::Device {
            kind: device.kind,
            height_m: above_floor(device.level, device.height_m),
            device: device.device.clone(),
            role: device.role.clone(),
            number: device.number,
            room: device.room.clone(),
            mount: device.mount.clone(),
            supervised: Some(device.supervised),
        };
        let shape = geo::Point(device.position).into();
        pieces.push(Piece {
            name: Some(device.name.clone()),
            ..piece(&device.id, device.level, shape, what)
        });
    }
    for outlet in &plan.outlets {
        let height_m = above_floor(outlet.level, outlet.height_m);
        let shape = geo::Point(outlet.position).into();
        pieces.push(piece(&outlet.id, outlet.level, shape, What::Outlet { height_m }));
    }
    for stairs in &plan.stairs {
        let to = Some(stairs.to_level);
        let shape = stairs.line.clone().into();
        pieces.push(piece(&stairs.id, stairs.level, shape, What::Stairs { to }));
    }
    let in_feet = plan.metres_per_unit < 1.0;
    Draft {
        name: plan.name.clone(),
        unit: if in_feet { DraftUnit::Foot } else { DraftUnit::Metre },
        link: plan.link.as_ref().and_then(|link| link.like.clone()),
        levels: plan.levels.clone(),
        constructions: plan.constructions.clone(),
        pieces,
        ..Draft::default()
    }
}

fn read_text(text: &str) -> Plan {
    read_house("plan", text.as_bytes(), &vocabulary()).unwrap().plan
}

/// Everything that a draft holds, in words; lengths to a millimetre, as a plan in feet is rounded.
fn told(plan: &Plan) -> Vec<String> {
    let mm = |metres: f64| (metres * 1e3).round() as i64;
    let mut all = vec![format!("{} {:?}", plan.name, plan.constructions)];
    for level in &plan.levels {
        let heights = (mm(level.floor_m), mm(level.ceiling_m));
        all.push(format!("{} {} {heights:?}", level.number, level.name));
    }
    for wall in &plan.walls {
        let line: Vec<_> = wall.line.coords().map(|at| (mm(at.x), mm(at.y))).collect();
        let heights = (mm(wall.base_m), mm(wall.top_m));
        all.push(format!("{} {} {line:?} {heights:?}", wall.id, wall.construction));
    }
    for opening in &plan.openings {
        let along = (mm(opening.from_m), mm(opening.to_m));
        let heights = (mm(opening.base_m), mm(opening.top_m));
        let wall = &plan.walls[opening.wall].id;
        all.push(format!(
            "{} {wall} {} {along:?} {heights:?} {} {}",
            opening.id, opening.segment, opening.open, opening.entry
        ));
    }
    for device in &plan.devices {
        let at = (mm(device.position.x), mm(device.position.y), mm(device.height_m));
        all.push(format!(
            "{} {at:?} {:?} {:?} {:?} {:?} {:?} {}",
            device.id,
            device.kind,
            device.number,
            device.role,
            device.room,
            device.mount,
            device.name
        ));
    }
    for outlet in &plan.outlets {
        all.push(format!("{} {} {}", outlet.id, mm(outlet.position.x), mm(outlet.height_m)));
    }
    for stairs in &plan.stairs {
        all.push(format!("{} {} {}", stairs.id, stairs.level, stairs.to_level));
    }
    let slabs =
        plan.slabs.iter().map(|slab| (&slab.id, slab.level, slab.outline.interiors().len()));
    all.extend(slabs.map(|slab| format!("{slab:?}")));
    all.extend(plan.obstacles.iter().map(|o| format!("{} {}", o.id, mm(o.top_m))));
    all
}

#[test]
fn every_shipped_plan_survives_being_drafted_and_then_keeps_its_bytes() {
    for name in fixtures::PLANS {
        let file = fixtures::floorplan(name);
        let plan = read_file(file.as_ref(), &vocabulary()).unwrap().plan;
        let once = drafted(&plan).text();
        let again = read_text(&once);
        assert_eq!(told(&again), told(&plan), "{name}");
        let twice = drafted(&again).text();
        assert_eq!(twice, once, "{name}");
    }
}
