"""The certificate of a session: what it says, and how it is written as PDF, HTML and CSV."""
