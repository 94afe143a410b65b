"""A page of HTML becomes a PDF in a process of its own, with limits."""
