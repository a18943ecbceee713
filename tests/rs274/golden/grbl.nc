(Hive entrance disc, cavity plate)
(cutter: slot-6, 6 mm, stick-out 20 mm)
(CAUTION: eye protection, clamps tight and clear, is zero right. um matter.)
G17 G21 G54 G90 G94
M3 S9000
G4 P3
(disc: rough, slot-6)
G0 Z10
X32 Y20
Z0.5
G3 X32 Y20 Z-1 I-2 J0 F240
X32 Y20 I-2 J0 F600
G1 X30
G0 Z10
(runner: groove, slot-6)
M3 S9000
G0 Z10
X50 Y20
Z0.5
G1 X60 Z-0.75 F200
G3 X65 Y25 I0 J5 F450.5
G1 Y40
G0 Z10
(screws: drill, drill-4.2)
M3 S4000
G0 Z10
X10 Y10
Z1
G1 Z-3 F80
G0 Z1
Z-2.75
G1 Z-7
G0 Z1
Z10
X70
Z1
G1 Z-0.5
G4 P0.5
G0 Z1
Z10
M5
M30
