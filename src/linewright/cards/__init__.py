"""Cards: what is known of fibres, ropes, contacts, climates and mooring practice, with sources."""
