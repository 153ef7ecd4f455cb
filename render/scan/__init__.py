"""Turn a picture of a coloured pricking into a Pattern."""
