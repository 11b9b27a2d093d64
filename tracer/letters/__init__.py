"""Words in: letters with their origins and advances, as a drawing."""
