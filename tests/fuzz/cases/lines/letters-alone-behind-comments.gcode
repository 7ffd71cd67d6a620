M201 (c) M (d)
M205 J0.02 (c) N (d)
