"""What a teacher does before and after class; the only part of the package that writes a user's files."""
