"""A slow second judge of a foot, written from the description of the method, not from its code.

It shares nothing with `measurements/hoof/drift`: covariances are written out reading by reading,
Bayes factors are ratios of normal densities, intervals come from the exact mixture instead of draws.
Where the two agree, a golden verdict is right and not only unchanged.

`uv run python -m tests.hoof.reference.regenerate` judges all cases by both, stops where they
disagree, and writes `golden.json`.
"""
