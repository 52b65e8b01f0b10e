"""Application specs: rules, waivers, findings."""
