"""The cut pieces sewn and hung on the figure: strain, ease as it really hangs, levels, folds."""
