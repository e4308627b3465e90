# predict-us: a clear day by a clock, no latest end, doubtful, US units; looked at 2026-11-28
load 'head.gp'
set label 'Doubtful: 86 °F at 13:24 (at the earliest 10:56)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'Glazed wash stand, 10.6 gal of water, clear sky of 19 June 2026 at 51.87°, 0.63°, air at 72 °F' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
$trace << EOD
0 59 59 59 158.499165
30 68.18 67.532 68.828 209.082589
60 78.548 77.18 79.916 253.094637
90 89.528 87.404 91.67 284.81032
120 100.436 97.538 103.334 300.10866
150 110.444 106.844 114.044 297.002076
180 118.85 114.656 123.026 275.896327
210 125.024 120.416 129.65 239.533449
240 128.66 123.782 133.52 192.636716
NaN NaN NaN NaN NaN
EOD
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.8600
set bmargin at screen 0.3650
set tmargin at screen 0.8400
set grid xtics ytics back ls 100
set label 'Water in the container, °F (95 % band)' at screen 0.0180,0.8660 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [40:140]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 40,20,140.00002
set xrange [0:240]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 2.53333333, '' 32.5333333, '' 62.5333333, '' 92.5333333, '' 122.533333, '' 152.533333, '' 182.533333, '' 212.533333)
set arrow from graph 0, first 86 to graph 1, first 86 nohead lw 1.5 dt (3,3) lc rgb '#000000'
set label '86 °F: target' at graph 0, first 86 left offset 0.6,0.7 front tc rgb '#000000' font 'Sans,12'
set arrow from graph 0, first 120.2 to graph 1, first 120.2 nohead lw 1.5 dt (8,4) lc rgb '#D55E00'
set label '120 °F: scalds from here on' at graph 0, first 120.2 left offset 0.6,0.7 front tc rgb '#BF5300' font 'Sans,12'
$arrival << EOD
147 86 0 240
NaN NaN NaN NaN
EOD
set arrow from first 147, graph 0 to first 147, first 86 nohead lw 1.2 dt (3,3) lc rgb '#4D4D4D'
set label '13:24 (10:56 at the earliest)' at first 147, first 86 left offset 0.8,-1 front tc rgb '#000000' font 'Sans,13.5'
set label 'store 129 °F' at graph 1, first 128.727077 left offset 0.6,0 front tc rgb '#0072B2' font 'Sans,12'
plot NaN, $trace using 1:3:4 with filledcurves fs transparent solid 0.18 lc rgb '#0072B2', $trace using 1:2 with lines lw 3 lc rgb '#0072B2', $arrival using 1:2:3:4 with xerrorbars lw 2.5 pt 7 ps 1.7 lc rgb '#000000'
unset label
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.8600
set bmargin at screen 0.0950
set tmargin at screen 0.2550
set grid xtics ytics back ls 100
set label 'Irradiance in the collector plane, Btu/(h ft²)' at screen 0.0180,0.2810 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0:400]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,200,400.0002
set xrange [0:240]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('11:00' 2.53333333, '11:30' 32.5333333, '12:00' 62.5333333, '12:30' 92.5333333, '13:00' 122.533333, '13:30' 152.533333, '14:00' 182.533333, '14:30' 212.533333)
set label 'clock, UTC+02:00' at screen 0.4625,0.0325 center front tc rgb '#4D4D4D' font 'Sans,12'
plot $trace using 1:5 with filledcurves y1=0 fs transparent solid 0.15 lc rgb '#E69F00', $trace using 1:5 with lines lw 2 lc rgb '#E69F00'
unset multiplot
unset output
