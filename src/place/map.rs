//! The worst margin over all devices, for every place on a level where the panel could hang.
