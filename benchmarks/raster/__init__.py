"""Pictures as people have them: the same open drawings aged by seed, and what the tracer makes of each."""
