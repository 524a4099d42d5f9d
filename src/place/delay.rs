//! Entry and exit delay from the walk to the panel.
