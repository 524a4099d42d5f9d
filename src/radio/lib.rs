//! Physics without geometry: free space, slabs, materials, links, noise, edges, fading.
//!
//! Nothing here knows of walls' places, plans or files; this module imports only
//! [`units`]. Every figure carries its source and how far it was confirmed. "From memory"
//! means that no document was open when the figure was written down; "common practice, no source"
//! means that none was found.

mod alignment;
mod constructions;
mod cubic;
mod fading;
mod free_space;
mod grazing;
mod knife_edge;
mod links;
mod materials;
mod noise;
mod reflection_table;
mod reverberation;
mod slab;
mod slab_table;

pub use alignment::{Alignment, alignment_loss, dipole_alignment_loss};
pub use constructions::{
    BuiltFor, CatalogueLayer, Construction, ConstructionClass, Excess, catalogue, construction,
    interpolate_measured_loss,
};
pub use fading::{rician_decibel_moments, rician_miss};
pub use free_space::{eirp_from_field_strength, free_space_loss};
pub use grazing::bundle_cosine;
pub use knife_edge::{edge_field, edge_field_fast, edge_loss, edge_loss_approx, fresnel_integrals};
pub use links::{DEFAULT_LINK, Link, LinkSources, Region, link, links};
pub use materials::{Material, VACUUM_PERMITTIVITY_F_PER_M, material, materials};
pub use noise::{NoiseEnvironment, noise_floor, thermal_noise_level};
pub use reflection_table::ReflectionTable;
pub use reverberation::{ReverberantRoom, reverberant_gain};
pub use slab::{
    Polarisation, ReflectedAmplitude, SlabLayer, SlabResponse, reflected_amplitude, slab_response,
};
pub use slab_table::SlabTable;
