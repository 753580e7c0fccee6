"""Tables computed from an indicator's face; nothing here draws or prints."""
