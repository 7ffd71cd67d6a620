(solid infill) N100 G0 X3131.22*37
