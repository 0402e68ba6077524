"""Progress and class tables, as text, HTML, CSV and JSON."""
