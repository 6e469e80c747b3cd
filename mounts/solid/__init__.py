"""Room 4: the only room that imports CadQuery at its top. Dimensions in, solids out."""
