"""The forms: what stands on each, and what becomes of a change; no Textual."""
