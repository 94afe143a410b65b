"""Background jobs: written with a deed, run after its commit by the process that holds the lease."""
