"""What people type becomes numbers, and numbers become what people read."""
