// Nothing of its own: the target that holds the precompiled headers needs one source.
