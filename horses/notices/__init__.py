"""Who is told of what, in the app and by mail."""
