//! Panel, devices and roam areas in JSON, as every report has them.

use crate::json::{object, position, rows};
use forecast::{Crossing, DeviceResult, RoamResult};
use plan::Device;

object! {
    /// The panel.
    PanelRow(panel: Device) {
        "id": panel.id,
        "position_m": position(panel),
    }
}

object! {
    /// One wall or floor on the direct path.
    CrossingRow(crossing: Crossing) {
        "feature": crossing.feature,
        "construction": crossing.construction,
        "incidence_deg": crossing.incidence_deg,
        "slab_db": crossing.slab,
        "excess_db": crossing.excess,
        "loss_db": crossing.slab + crossing.excess,
    }
}

object! {
    /// One device, with the hop that it takes.
    DeviceRow(result: DeviceResult) {
        "id": result.device.id,
        "name": result.device.name,
        "room": result.device.room,
        "number": result.device.number,
        "kind": result.device.kind.word(),
        "role": result.device.role,
        "supervised": result.device.supervised,
        "link": result.link.name,
        "frequency_mhz": result.link.frequency.mhz(),
        "position_m": position(&result.device),
        "distance_m": result.hop.distance,
        "free_space_db": result.hop.free_space,
        // From the panel or repeater to the device.
        "crossings": rows(&result.hop.crossings, CrossingRow),
        "direct_loss_db": result.hop.direct_loss,
        "path_loss_db": result.hop.path_loss,
        "eirp_dbm": result.hop.ledger.eirp_dbm,
        "antenna_gain_db": result.hop.ledger.antenna_gain_db,
        "mount_loss_db": result.hop.ledger.mount_loss_db,
        "site_offset_db": result.hop.ledger.site_offset_db,
        if crate::rounded(result.hop.ledger.calibrated_loss_db.0) != 0.0 =>
            "calibrated_loss_db": result.hop.ledger.calibrated_loss_db,
        // The direction that these hold for: of two-way devices the worse.
        "direction": result.hop.ledger.direction,
        "received_dbm": result.hop.ledger.received_dbm,
        "level_needed_dbm": result.hop.ledger.level_needed_dbm,
        "margin_db": result.hop.ledger.margin_db,
        "margin_p10_db": result.hop.margin_p10,
        "sigma_db": result.hop.sigma,
        // On the whole way to the panel.
        "fault_per_year": result.fault_per_year,
        "finding": result.finding,
        // Null for the panel.
        "via": result.via,
    }
}

object! {
    /// How a device stands, in short.
    StateRow(result: DeviceResult) {
        "id": result.device.id,
        "name": result.device.name,
        "number": result.device.number,
        "margin_db": result.hop.ledger.margin_db,
        "fault_per_year": result.fault_per_year,
        "finding": result.finding,
        "via": result.via,
    }
}

object! {
    /// One roam area.
    RoamRow(result: RoamResult) {
        "id": result.roam.id,
        "name": result.roam.name,
        "link": result.link.name,
        "worn": result.roam.worn,
        "area_m2": result.area_m2,
        "share": result.share,
    }
}
