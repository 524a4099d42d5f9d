//! The fewest repeaters through which every sensor is heard, as a mixed-integer programme.
