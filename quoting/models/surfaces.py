"""The surfaces that the trade restores, and the conditions in which it finds them."""

from django.db import models


class Surface(models.TextChoices):
    STAMPED = "stamped", "stamped concrete"
    BROOM = "broom", "broom-finished concrete"
    EXPOSED = "exposed", "exposed aggregate"
    CONCRETE_PAVERS = "concrete-pavers", "concrete pavers"
    CLAY_PAVERS = "clay-pavers", "clay pavers"
    STEPS = "steps", "steps"


class Condition(models.TextChoices):
    """How porous the slab is to what is put on it; coverage follows from it."""

    SOUND = "sound", "sound old film"
    WORN = "worn", "worn or patchy"
    BARE = "bare", "stripped or bare"
