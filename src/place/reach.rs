//! The radio of every spot, traced from the devices.
