// Nothing of its own: carries precompiled.h.
