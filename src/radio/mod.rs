//! Physics without geometry: free space, slabs, materials, links, noise, edges, fading.
