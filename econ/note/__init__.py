"""The carbon note: what a grant writer may paste, as a Word document or as Markdown."""
