# compare-alone: one build, no difference; looked at 2026-11-28
load 'head.gp'
set label 'No build reaches the target on the reference day' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label '1 builds, one joint fit; heating from 15 to 75 °C, air at 22 °C' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.0550
set rmargin at screen 0.9850
set bmargin at screen 0.5300
set tmargin at screen 0.8600
set grid xtics ytics back ls 100
set label '40 kg of water on the reference day, 900 W/m²; water in °C, 95 % bands' at screen 0.0550,0.8820 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0:100]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,20,100.00002
set xrange [0:144]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' 0,20,144.00002
set label 'minutes' at screen 0.5200,0.4675 center front tc rgb '#4D4D4D' font 'Sans,12'
set arrow from graph 0, first 75 to graph 1, first 75 nohead lw 1.5 dt (3,3) lc rgb '#000000'
set label 'target 75 °C' at graph 0, first 75 left offset 0.6,0.7 front tc rgb '#000000' font 'Sans,12'
$heat0 << EOD
0 15 15 15
16 19.15 18.98 19.31
32 23.08 22.76 23.41
48 26.83 26.35 27.3
64 30.38 29.77 31
80 33.76 33.01 34.51
96 36.97 36.09 37.85
112 40.02 39.02 41.02
128 42.92 41.8 44.03
144 45.67 44.44 46.9
NaN NaN NaN NaN
EOD
$time0 << EOD
NaN NaN NaN NaN
EOD
set label 'Glazed wash stand: not reached' at first 109.476341, first 40.52 right offset -1.5,0.9 front tc rgb '#0072B2' font 'Sans,13.5'
plot NaN, $heat0 using 1:3:4 with filledcurves fs transparent solid 0.15 lc rgb '#0072B2', $heat0 using 1:2 with lines lw 3 dt solid lc rgb '#0072B2', $time0 using 1:2:3:4 with xerrorbars lw 2.5 pt 7 ps 1.7 lc rgb '#0072B2'
unset label
load 'panel.gp'
set lmargin at screen 0.0550
set rmargin at screen 0.4800
set bmargin at screen 0.0850
set tmargin at screen 0.3690
set grid xtics ytics back ls 100
set label 'Efficiency on gross area, 95 % bands (dashed: extrapolated)' at screen 0.0550,0.3910 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0.2:0.9]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0.2,0.1,0.9000001
set xrange [-0.0118:0.0518]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' -0.02,0.02,0.06000002
set label '(temperature − air) / irradiance, m² K/W' at screen 0.2675,0.0225 center front tc rgb '#4D4D4D' font 'Sans,12'
$curve0 << EOD
-0.01 0.79 0.74 0.84 NaN 0.79
0.002 0.7 0.65 0.74 0.7 0.7
0.014 0.6 0.55 0.65 0.6 0.6
0.026 0.5 0.44 0.57 NaN 0.5
0.038 0.4 0.32 0.49 NaN 0.4
0.05 0.31 0.2 0.42 NaN 0.31
NaN NaN NaN NaN NaN NaN
EOD
plot NaN, $curve0 using 1:3:4 with filledcurves fs transparent solid 0.15 lc rgb '#0072B2', $curve0 using 1:6 with lines lw 1.5 dt (6,5) lc rgb '#0072B2', '' using 1:5 with lines lw 3 dt solid lc rgb '#0072B2'
unset multiplot
unset output
