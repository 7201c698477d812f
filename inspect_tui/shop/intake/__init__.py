"""Files of readings taken into the record."""
