# compare-us: two of long names, times that overlap, doubtful, US units; looked at 2026-11-28
load 'head.gp'
set label 'Doubtful: …under-glass is 4.0 min faster than …on-a-board (95 %: 0.1 to 7.9)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label '2 builds, one joint fit; heating from 59 to 104 °F, air at 72 °F' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.0550
set rmargin at screen 0.9850
set bmargin at screen 0.5300
set tmargin at screen 0.8600
set grid xtics ytics back ls 100
set label '10.6 gal of water on the reference day, 285 Btu/(h ft²); water in °F, 95 % bands' at screen 0.0550,0.8820 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [50:110]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 50,10,110.00001
set xrange [0:97.2226677]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' 0,20,97.2226877
set label 'minutes' at screen 0.5200,0.4675 center front tc rgb '#4D4D4D' font 'Sans,12'
set arrow from graph 0, first 104 to graph 1, first 104 nohead lw 1.5 dt (3,3) lc rgb '#000000'
set label 'target 104 °F' at graph 0, first 104 left offset 0.6,0.7 front tc rgb '#000000' font 'Sans,12'
$heat0 << EOD
0 59 59 59
16 67.532 67.19 67.874
32 75.182 74.534 75.83
48 82.04 81.104 82.958
64 88.16 87.008 89.33
80 93.668 92.282 95.054
96 98.582 96.998 100.166
NaN NaN NaN NaN
EOD
$time0 << EOD
66 103.16 54.2218658 77.7781342
NaN NaN NaN NaN
EOD
set label '66.0 min (54.2 to 77.8)' at first 77.7781342, first 103.16 left offset 1,-0.75 front tc rgb '#0072B2' font 'Sans,12'
set label 'wash-stand-with-a-coil-of-black-hose-on-a-board' at first 28.6404233, first 71.53934 left offset 1.5,-0.9 front tc rgb '#0072B2' font 'Sans,13.5'
$heat1 << EOD
0 59 59 59
16 66.47 66.164 66.758
32 73.544 72.968 74.138
48 80.294 79.43 81.14
64 86.684 85.586 87.8
80 92.768 91.418 94.118
96 98.546 96.962 100.13
NaN NaN NaN NaN
EOD
$time1 << EOD
59 104.84 47.2218658 70.7781342
NaN NaN NaN NaN
EOD
set label '59.0 min (47.2 to 70.8)' at first 47.2218658, first 104.84 right offset -1,0.75 front tc rgb '#BF5300' font 'Sans,12'
set label 'wash-stand-with-a-coil-of-black-hose-under-glass (loss with the container’s)' at first 71.1949686, first 91.904 right offset -1.5,0.9 front tc rgb '#BF5300' font 'Sans,13.5'
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
set xrange [-0.0670035074:0.294134041]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' -0.1,0.1,0.3000001
set label '(temperature − air) / irradiance, h ft² °F/Btu' at screen 0.2675,0.0225 center front tc rgb '#4D4D4D' font 'Sans,12'
set label 'cross at 5 °F below air' at first -0.0189275445, first 0.863333333 left offset 0.4,1.0 front tc rgb '#000000' point lw 2 pt 6 ps 2 lc rgb '#000000' font 'Sans,12'
$curve0 << EOD
-0.0567826334 0.98 0.92 1.03 NaN 0.98
0.0113565267 0.77 0.72 0.81 0.77 0.77
0.0794956868 0.56 0.51 0.61 0.56 0.56
0.147634847 0.35 0.28 0.41 NaN 0.35
0.215774007 0.14 0.05 0.23 NaN 0.14
0.283913167 -0.07 -0.18 0.04 NaN -0.07
NaN NaN NaN NaN NaN NaN
EOD
$curve1 << EOD
-0.0567826334 0.79 0.74 0.84 NaN 0.79
0.0113565267 0.7 0.65 0.74 0.7 0.7
0.0794956868 0.6 0.55 0.65 0.6 0.6
0.147634847 0.5 0.44 0.57 NaN 0.5
0.215774007 0.4 0.32 0.49 NaN 0.4
0.283913167 0.31 0.2 0.42 NaN 0.31
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
set label 'on-a-board − under-glass, 95 %' at screen 0.5550,0.3910 left front tc rgb '#000000' font 'Sans,13.5'
set label 'zero-loss efficiency η₀: 0.0900 (0.0759 to 0.1041)' at screen 0.5550,0.3550 left front tc rgb '#4D4D4D' font 'Sans,12'
set xrange [-0.005:0.13]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' 0,0.025,0.125000025
set yrange [-1:1]
set grid noytics
set arrow from first 0, graph 0 to first 0, graph 1 nohead lw 2 lc rgb '#4D4D4D'
$difference0 << EOD
0.09 0 0.075866239 0.104133761
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
set label 'loss a₁, Btu/(h ft² °F): 1.64 (1.37 to 1.90)' at screen 0.5550,0.2350 left front tc rgb '#4D4D4D' font 'Sans,12'
set xrange [-0.08:2.08]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' 0,0.5,2.0000005
set yrange [-1:1]
set grid noytics
set arrow from first 0, graph 0 to first 0, graph 1 nohead lw 2 lc rgb '#4D4D4D'
$difference1 << EOD
1.63782471 0 1.37494653 1.90070289
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
set label 'heat-up time, min: 4.0 (0.1 to 7.9)' at screen 0.5550,0.1150 left front tc rgb '#4D4D4D' font 'Sans,12'
set xrange [-0.32:8.32]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' 0,2,8.000002
set yrange [-1:1]
set grid noytics
set arrow from first 0, graph 0 to first 0, graph 1 nohead lw 2 lc rgb '#4D4D4D'
$difference2 << EOD
4 0 0.0664124376 7.93358756
NaN NaN NaN NaN
EOD
plot NaN, $difference2 using 1:2:3:4 with xerrorbars lw 2.5 pt 7 ps 1.5 lc rgb '#000000'
unset multiplot
unset output
