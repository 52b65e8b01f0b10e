"""Parameter lists: rows from a table or an EDS, and which neutral key each of them means."""

from asleft.intake.listing.propose import Proposal, propose
from asleft.intake.listing.rows import ListRow

__all__ = ["ListRow", "Proposal", "propose"]
