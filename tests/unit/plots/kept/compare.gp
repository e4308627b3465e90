# compare: two builds, the first faster; looked at 2026-11-28
load 'head.gp'
set label 'Glazed wash stand is 4.0 min faster than Bare wash stand (95 %: 0.1 to 7.9)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label '2 builds, one joint fit; heating from 15 to 40 °C, air at 22 °C' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.0550
set rmargin at screen 0.9850
set bmargin at screen 0.5300
set tmargin at screen 0.8600
set grid xtics ytics back ls 100
set label '40 kg of water on the reference day, 900 W/m²; water in °C, 95 % bands' at screen 0.0550,0.8820 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [10:50]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 10,10,50.00001
set xrange [0:151.219548]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' 0,20,151.219568
set label 'minutes' at screen 0.5200,0.4675 center front tc rgb '#4D4D4D' font 'Sans,12'
set arrow from graph 0, first 40 to graph 1, first 40 nohead lw 1.5 dt (3,3) lc rgb '#000000'
set label 'target 40 °C' at graph 0, first 40 left offset 0.6,0.7 front tc rgb '#000000' font 'Sans,12'
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
112 40.56 107.024362 116.975638
NaN NaN NaN NaN
EOD
set label '112.0 min (107.0 to 117.0)' at first 107.024362, first 40.56 right offset -1,0.75 front tc rgb '#0072B2' font 'Sans,12'
set label 'Glazed wash stand' at first 75.8467696, first 34.2045455 right offset -1.5,0.9 front tc rgb '#0072B2' font 'Sans,13.5'
$heat1 << EOD
0 15 15 15
16 19.74 19.55 19.93
32 23.99 23.63 24.35
48 27.8 27.28 28.31
64 31.2 30.56 31.85
80 34.26 33.49 35.03
96 36.99 36.11 37.87
112 39.44 38.46 40.42
128 41.63 40.57 42.7
144 43.6 42.46 44.74
NaN NaN NaN NaN
EOD
$time1 << EOD
116 39.44 111.024362 120.975638
NaN NaN NaN NaN
EOD
set label '116.0 min (111.0 to 121.0)' at first 120.975638, first 39.44 left offset 1,-0.75 front tc rgb '#BF5300' font 'Sans,12'
set label 'Bare wash stand' at first 34.183844, first 23.25 left offset 1.5,-0.9 front tc rgb '#BF5300' font 'Sans,13.5'
plot NaN, $heat0 using 1:3:4 with filledcurves fs transparent solid 0.15 lc rgb '#0072B2', $heat1 using 1:3:4 with filledcurves fs transparent solid 0.15 lc rgb '#D55E00', $heat0 using 1:2 with lines lw 3 dt solid lc rgb '#0072B2', $heat1 using 1:2 with lines lw 3 dt (14,4) lc rgb '#D55E00', $time0 using 1:2:3:4 with xerrorbars lw 2.5 pt 7 ps 1.7 lc rgb '#0072B2', $time1 using 1:2:3:4 with xerrorbars lw 2.5 pt 5 ps 1.7 lc rgb '#D55E00'
unset label
load 'panel.gp'
set lmargin at screen 0.0550
set rmargin at screen 0.4800
set bmargin at screen 0.0850
set tmargin at screen 0.3690
set grid xtics ytics back ls 100
set label 'Efficiency on gross area, 95 % bands (dashed: extrapolated)' at screen 0.0550,0.3910 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [-0.2:1.2]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' -0.2,0.2,1.2000002
set xrange [-0.0118:0.0518]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' -0.02,0.02,0.06000002
set label '(temperature − air) / irradiance, m² K/W' at screen 0.2675,0.0225 center front tc rgb '#4D4D4D' font 'Sans,12'
set label 'cross at 9 K over air' at first 0.00967741935, first 0.636021505 left offset 0.4,1.0 front tc rgb '#000000' point lw 2 pt 6 ps 2 lc rgb '#000000' font 'Sans,12'
$curve0 << EOD
-0.01 0.79 0.74 0.84 NaN 0.79
0.002 0.7 0.65 0.74 0.7 0.7
0.014 0.6 0.55 0.65 0.6 0.6
0.026 0.5 0.44 0.57 NaN 0.5
0.038 0.4 0.32 0.49 NaN 0.4
0.05 0.31 0.2 0.42 NaN 0.31
NaN NaN NaN NaN NaN NaN
EOD
$curve1 << EOD
-0.01 0.98 0.92 1.03 NaN 0.98
0.002 0.77 0.72 0.81 0.77 0.77
0.014 0.56 0.51 0.61 0.56 0.56
0.026 0.35 0.28 0.41 NaN 0.35
0.038 0.14 0.05 0.23 NaN 0.14
0.05 -0.07 -0.18 0.04 NaN -0.07
NaN NaN NaN NaN NaN NaN
EOD
plot NaN, $curve0 using 1:3:4 with filledcurves fs transparent solid 0.15 lc rgb '#0072B2', $curve1 using 1:3:4 with filledcurves fs transparent solid 0.15 lc rgb '#D55E00', $curve0 using 1:6 with lines lw 1.5 dt (6,5) lc rgb '#0072B2', '' using 1:5 with lines lw 3 dt solid lc rgb '#0072B2', $curve1 using 1:6 with lines lw 1.5 dt (6,5) lc rgb '#D55E00', '' using 1:5 with lines lw 3 dt (14,4) lc rgb '#D55E00'
unset label
load 'panel.gp'
set lmargin at screen 0.5550
set rmargin at screen 0.9850
set bmargin at screen 0.2900
set tmargin at screen 0.3350
set grid xtics ytics back ls 100
set label 'Glazed wash stand − Bare wash stand, 95 %' at screen 0.5550,0.3910 left front tc rgb '#000000' font 'Sans,13.5'
set label 'zero-loss efficiency η₀: −0.0900 (−0.1041 to −0.0759)' at screen 0.5550,0.3550 left front tc rgb '#4D4D4D' font 'Sans,12'
set xrange [-0.13:0.005]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' -0.125,0.025,2.5e-08
set yrange [-1:1]
set grid noytics
set arrow from first 0, graph 0 to first 0, graph 1 nohead lw 2 lc rgb '#4D4D4D'
$difference0 << EOD
-0.09 0 -0.104133761 -0.075866239
NaN NaN NaN NaN
EOD
plot NaN, $difference0 using 1:2:3:4 with xerrorbars lw 2.5 pt 7 ps 1.5 lc rgb '#000000'
unset label
load 'panel.gp'
set lmargin at screen 0.5550
set rmargin at screen 0.9850
set bmargin at screen 0.1700
set tmargin at screen 0.2150
set grid xtics ytics back ls 100
set label 'loss a₁, W/(m² K): −9.30 (−10.79 to −7.81)' at screen 0.5550,0.2350 left front tc rgb '#4D4D4D' font 'Sans,12'
set xrange [-13:0.5]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' -12.5,2.5,2.5e-06
set yrange [-1:1]
set grid noytics
set arrow from first 0, graph 0 to first 0, graph 1 nohead lw 2 lc rgb '#4D4D4D'
$difference1 << EOD
-9.3 0 -10.7926915 -7.80730847
NaN NaN NaN NaN
EOD
plot NaN, $difference1 using 1:2:3:4 with xerrorbars lw 2.5 pt 7 ps 1.5 lc rgb '#000000'
unset label
load 'panel.gp'
set lmargin at screen 0.5550
set rmargin at screen 0.9850
set bmargin at screen 0.0500
set tmargin at screen 0.0950
set grid xtics ytics back ls 100
set label 'heat-up time, min: −4.0 (−7.9 to −0.1)' at screen 0.5550,0.1150 left front tc rgb '#4D4D4D' font 'Sans,12'
set xrange [-8.32:0.32]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' -8,2,2e-06
set yrange [-1:1]
set grid noytics
set arrow from first 0, graph 0 to first 0, graph 1 nohead lw 2 lc rgb '#4D4D4D'
$difference2 << EOD
-4 0 -7.93358756 -0.0664124376
NaN NaN NaN NaN
EOD
plot NaN, $difference2 using 1:2:3:4 with xerrorbars lw 2.5 pt 7 ps 1.5 lc rgb '#000000'
unset multiplot
unset output
