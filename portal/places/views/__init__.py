"""Landing pages of the four people; one file per place."""
