"""The notebook reader: a line as a cutter writes or dictates it becomes proposals or a question.

What is not understood is kept as text and said so; nothing is guessed silently. No learning, no
state: a vocabulary (`words`, `places`) and a small grammar (`tokens` → `amounts` → `phrases` →
`clauses` → `linking` → `subject`, `said` → `resolve` → `proposing` → `joining`).
"""

from pinwright.fitting.reader.answering import answer
from pinwright.fitting.reader.brought import Brought
from pinwright.fitting.reader.line import read_line
from pinwright.fitting.reader.reading import Choice, Observation, Question, Reading

__all__ = ["Brought", "Choice", "Observation", "Question", "Reading", "answer", "read_line"]
