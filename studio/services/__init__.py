"""The only writers of the studio's tables. Reading is in ``studio.queries``."""
