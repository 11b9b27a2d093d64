"""How true the strokes are that are found in pictures: against true centre lines, and against the ink."""
