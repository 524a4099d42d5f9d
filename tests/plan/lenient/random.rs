//! Plans with some features spoilt at random: what is left is the plan without them.
