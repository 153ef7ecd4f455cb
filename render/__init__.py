"""Work a bobbin lace pricking and show the lace that comes out."""
