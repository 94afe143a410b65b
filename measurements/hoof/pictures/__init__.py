"""Pictures that measure: points on a photograph or film to values, each with its own error."""
