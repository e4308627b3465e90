# fit-three: three runs, one driven by its inlet, one of a store alone, US units; looked at 2026-11-28
load 'head.gp'
set label 'Glazed wash stand: 71 % at zero loss, 1.4 Btu/(h ft² °F)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label '3 runs fitted together, 3 May 2026 to 7 May 2026, 51.87° N, 0.63° E' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.0600
set rmargin at screen 0.5000
set bmargin at screen 0.3700
set tmargin at screen 0.7600
set grid xtics ytics back ls 100
set label 'Efficiency on gross area, 95 % band (dashed: extrapolated)' at screen 0.0180,0.8600 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0.2:0.9]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0.2,0.1,0.9000001
set xrange [-0.0670035074:0.294134041]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' -0.1,0.1,0.3000001
set label '(temperature − air) / irradiance, h ft² °F/Btu' at screen 0.2800,0.3075 center front tc rgb '#4D4D4D' font 'Sans,12'
set x2range [-19.116:83.916]
set x2tics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' -0,20,80.00002
set border 5
set label '°F warmer than the air, in 285 Btu/(h ft²) of sun' at screen 0.2800,0.8160 center front tc rgb '#4D4D4D' font 'Sans,12'
set label 'Numbers' at screen 0.0180,0.2420 left front tc rgb '#000000' font 'Sans,13.5'
set label '95 % interval' at screen 0.3650,0.2420 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'zero-loss efficiency η₀' at screen 0.0180,0.2040 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '0.712' at screen 0.3500,0.2040 right front tc rgb '#000000' font 'Sans,13.5'
set label '0.668 to 0.756' at screen 0.3650,0.2040 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'loss a₁, Btu/(h ft² °F)' at screen 0.0180,0.1700 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '1.43' at screen 0.3500,0.1700 right front tc rgb '#000000' font 'Sans,13.5'
set label '1.21 to 1.65' at screen 0.3650,0.1700 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'efficiency of the run' at screen 0.0180,0.1360 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '0.612' at screen 0.3500,0.1360 right front tc rgb '#000000' font 'Sans,13.5'
set label '0.577 to 0.648' at screen 0.3650,0.1360 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'stagnation above air, °F' at screen 0.0180,0.1020 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '158' at screen 0.3500,0.1020 right front tc rgb '#000000' font 'Sans,13.5'
set label '136 to 181' at screen 0.3650,0.1020 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'per gross area; collector at its mean temperature' at screen 0.0180,0.0680 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'stagnation may well be higher than this' at screen 0.0180,0.0340 left front tc rgb '#4D4D4D' font 'Sans,12'
$curve << EOD
-0.0567826334 0.79 0.74 0.84 NaN 0.79
0.0113565267 0.7 0.65 0.74 0.7 0.7
0.0794956868 0.6 0.55 0.65 0.6 0.6
0.147634847 0.5 0.44 0.57 NaN 0.5
0.215774007 0.4 0.32 0.49 NaN 0.4
0.283913167 0.31 0.2 0.42 NaN 0.31
NaN NaN NaN NaN NaN NaN
EOD
$loose << EOD
-0.0261200114 0.75 0.024
0.00794956868 0.7 0.024
NaN NaN NaN
EOD
$steady << EOD
0.0420191487 0.66 0.024
0.0760887288 0.61 0.024
NaN NaN NaN
EOD
set label '● steady, ○ other means of some minutes' at screen 0.0700,0.3940 left front tc rgb '#4D4D4D' font 'Sans,12'
plot NaN, $curve using 1:3:4 with filledcurves fs transparent solid 0.18 lc rgb '#0072B2', $curve using 1:6 with lines lw 2 dt (8,5) lc rgb '#0072B2', $curve using 1:5 with lines lw 3 lc rgb '#0072B2', $loose using 1:2:3 with yerrorbars lw 1 pt 6 ps 1 lc rgb '#4D4D4D', $steady using 1:2:3 with yerrorbars lw 1.5 pt 7 ps 1.1 lc rgb '#000000'
unset label
load 'panel.gp'
set lmargin at screen 0.5900
set rmargin at screen 0.9150
set bmargin at screen 0.5450
set tmargin at screen 0.8000
set grid xtics ytics back ls 100
set label 'Temperature, °F: measured (marks), modelled' at screen 0.5550,0.8600 left front tc rgb '#000000' font 'Sans,13.5'
$measured0 << EOD
1 61.322
23 69.35
46 76.298
68 83.606

86.7225 61.286
108.7225 69.368
131.7225 76.316
153.7225 83.462

172.445 61.178
194.445 69.458
217.445 76.442

NaN NaN
EOD
$driving0 << EOD
1 NaN
23 NaN
46 NaN
68 NaN

86.7225 NaN
108.7225 NaN
131.7225 NaN
153.7225 NaN

172.445 NaN
194.445 NaN
217.445 NaN

NaN NaN
EOD
$modelled0 << EOD
1 61.232
23 69.386
46 76.406
68 83.462

86.7225 61.232
108.7225 69.386
131.7225 76.406
153.7225 83.462

172.445 NaN
194.445 NaN
217.445 76.406

NaN NaN
EOD
$measured1 << EOD
1 NaN
23 NaN
46 NaN
68 NaN

86.7225 NaN
108.7225 NaN
131.7225 NaN
153.7225 NaN

172.445 61.214
194.445 69.422
217.445 76.388

NaN NaN
EOD
$driving1 << EOD
1 61.286
23 69.422
46 76.478
68 83.57

86.7225 NaN
108.7225 NaN
131.7225 NaN
153.7225 NaN

172.445 NaN
194.445 NaN
217.445 NaN

NaN NaN
EOD
$modelled1 << EOD
1 NaN
23 NaN
46 NaN
68 NaN

86.7225 NaN
108.7225 NaN
131.7225 NaN
153.7225 NaN

172.445 61.232
194.445 69.404
217.445 76.406

NaN NaN
EOD
$measured2 << EOD
1 77.828
23 74.498
46 92.588
68 87.062

86.7225 NaN
108.7225 NaN
131.7225 NaN
153.7225 NaN

172.445 77.81
194.445 74.408
217.445 92.678

NaN NaN
EOD
$driving2 << EOD
1 NaN
23 NaN
46 NaN
68 NaN

86.7225 NaN
108.7225 NaN
131.7225 NaN
153.7225 NaN

172.445 NaN
194.445 NaN
217.445 NaN

NaN NaN
EOD
$modelled2 << EOD
1 NaN
23 74.48
46 92.606
68 87.134

86.7225 NaN
108.7225 NaN
131.7225 NaN
153.7225 NaN

172.445 77.828
194.445 74.444
217.445 92.606

NaN NaN
EOD
$air << EOD
1 66.938
23 68.018
46 68.252
68 69.152

86.7225 67.1
108.7225 67.622
131.7225 68.378
153.7225 69.224

172.445 67.118
194.445 67.874
217.445 68.504

NaN NaN
EOD
set yrange [60:100]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 60,10,100.00001
set xrange [0:228.695]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 85.7225, '' 171.445)
set label '…-stand-glazed' at screen 0.6463,0.8180 center front tc rgb '#4D4D4D' font 'Sans,12'
set label '…-stand-glazed' at screen 0.7681,0.8180 center front tc rgb '#4D4D4D' font 'Sans,12'
set label '…afternoon' at screen 0.8743,0.8180 center front tc rgb '#4D4D4D' font 'Sans,12'
set object rectangle from first 79.25, graph 0 to first 85.7225, graph 1 behind fc rgb '#F4F4F4' fs solid noborder
set object rectangle from first 164.9725, graph 0 to first 171.445, graph 1 behind fc rgb '#F4F4F4' fs solid noborder
set label 'store' at graph 1, first 74.4452157 left offset 0.6,0 front tc rgb '#0072B2' font 'Sans,12'
set label 'inlet' at graph 1, first 78.3667843 left offset 0.6,0 front tc rgb '#A2477A' font 'Sans,12'
set label 'outlet' at graph 1, first 92.606 left offset 0.6,0 front tc rgb '#BF5300' font 'Sans,12'
set label 'air' at graph 1, first 68.504 left offset 0.6,0 front tc rgb '#007A5A' font 'Sans,12'
plot NaN, $air using 1:2 with lines lw 2 dt (10,5) lc rgb '#009E73', $modelled0 using 1:2 with lines lw 2.5 dt solid lc rgb '#0072B2', $modelled1 using 1:2 with lines lw 2.5 dt (5,4) lc rgb '#CC79A7', $modelled2 using 1:2 with lines lw 2.5 dt (20,3) lc rgb '#D55E00', $driving0 using 1:2 with lines lw 1.5 dt solid lc rgb '#0072B2', $driving1 using 1:2 with lines lw 1.5 dt (5,4) lc rgb '#CC79A7', $driving2 using 1:2 with lines lw 1.5 dt (20,3) lc rgb '#D55E00', $measured0 using 1:2 with points lw 1.2 pt 6 ps 0.7 lc rgb '#4D4D4D', $measured1 using 1:2 with points lw 1.2 pt 4 ps 0.7 lc rgb '#4D4D4D', $measured2 using 1:2 with points lw 1.2 pt 8 ps 0.7 lc rgb '#4D4D4D'
unset label
load 'panel.gp'
set lmargin at screen 0.5900
set rmargin at screen 0.9150
set bmargin at screen 0.3650
set tmargin at screen 0.4650
set grid xtics ytics back ls 100
set label 'Irradiance, Btu/(h ft²)' at screen 0.5550,0.4890 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0:300]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,100,300.0001
set xrange [0:228.695]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 85.7225, '' 171.445)
set object rectangle from first 79.25, graph 0 to first 85.7225, graph 1 behind fc rgb '#F4F4F4' fs solid noborder
set object rectangle from first 164.9725, graph 0 to first 171.445, graph 1 behind fc rgb '#F4F4F4' fs solid noborder
$sun << EOD
1 273.125762
23 99.0112586
46 101.182697
68 101.544075

86.7225 273.53152
108.7225 98.6118407
131.7225 101.563095
153.7225 102.006893

172.445 274.051397
194.445 98.8052097
217.445 101.972023

NaN NaN
EOD
set label 'Flow (thin line), gal/min' at screen 0.9880,0.4890 right front tc rgb '#0072B2' font 'Sans,13.5'
set y2range [0:0.3]
set y2tics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,0.1,0.3000001
$flow << EOD
1 0.280022375
23 0.274738934
46 0
68 0.277380655

86.7225 0.274738934
108.7225 0.282664096
131.7225 0
153.7225 0.280022375

172.445 0.277380655
194.445 0.274738934
217.445 0

NaN NaN
EOD
plot NaN, $sun using 1:2 with filledcurves y1=0 fs transparent solid 0.15 lc rgb '#E69F00', $sun using 1:2 with lines lw 2 lc rgb '#E69F00', $flow using 1:2 axes x1y2 with lines lw 1.2 lc rgb '#0072B2'
unset label
load 'panel.gp'
set lmargin at screen 0.5900
set rmargin at screen 0.9150
set bmargin at screen 0.2383
set tmargin at screen 0.2850
set grid xtics ytics back ls 100
set yrange [-2:2]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' -2,2,2.000002
set xrange [0:228.695]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 85.7225, '' 171.445)
set object rectangle from first 79.25, graph 0 to first 85.7225, graph 1 behind fc rgb '#F4F4F4' fs solid noborder
set object rectangle from first 164.9725, graph 0 to first 171.445, graph 1 behind fc rgb '#F4F4F4' fs solid noborder
set object rectangle from graph 0, first -0.1296 to graph 1, first 0.1296 behind fc rgb '#DDDDDD' fs solid 0.6 noborder
set arrow from graph 0, first 0 to graph 1, first 0 nohead lw 1 lc rgb '#4D4D4D'
set label 'store' at graph 1, first 0 left offset 0.6,0 front tc rgb '#0072B2' font 'Sans,12'
set label 'Measured − modelled, °F (band: ±2 s = ±0.13)' at screen 0.5550,0.3110 left front tc rgb '#000000' font 'Sans,13.5'
$residual << EOD
1 0.09
23 -0.036
46 -0.108
68 0.126

86.7225 0.054
108.7225 -0.018
131.7225 -0.09
153.7225 -1.08

172.445 NaN
194.445 NaN
217.445 0.036

NaN NaN
EOD
plot NaN, $residual using 1:2 with points pt 7 ps 0.45 lc rgb '#0072B2'
unset label
load 'panel.gp'
set lmargin at screen 0.5900
set rmargin at screen 0.9150
set bmargin at screen 0.1617
set tmargin at screen 0.2083
set grid xtics ytics back ls 100
set yrange [-2:2]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' -2,2,2.000002
set xrange [0:228.695]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 85.7225, '' 171.445)
set object rectangle from first 79.25, graph 0 to first 85.7225, graph 1 behind fc rgb '#F4F4F4' fs solid noborder
set object rectangle from first 164.9725, graph 0 to first 171.445, graph 1 behind fc rgb '#F4F4F4' fs solid noborder
set object rectangle from graph 0, first -0.1296 to graph 1, first 0.1296 behind fc rgb '#DDDDDD' fs solid 0.6 noborder
set arrow from graph 0, first 0 to graph 1, first 0 nohead lw 1 lc rgb '#4D4D4D'
set label 'inlet' at graph 1, first 0 left offset 0.6,0 front tc rgb '#A2477A' font 'Sans,12'
$residual << EOD
1 NaN
23 NaN
46 NaN
68 NaN

86.7225 NaN
108.7225 NaN
131.7225 NaN
153.7225 NaN

172.445 -0.018
194.445 0.018
217.445 NaN

NaN NaN
EOD
plot NaN, $residual using 1:2 with points pt 7 ps 0.45 lc rgb '#CC79A7'
unset label
load 'panel.gp'
set lmargin at screen 0.5900
set rmargin at screen 0.9150
set bmargin at screen 0.0850
set tmargin at screen 0.1317
set grid xtics ytics back ls 100
set yrange [-2:2]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' -2,2,2.000002
set xrange [0:228.695]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('0' 0, '0' 85.7225, '0' 171.445)
set label 'minutes from the start of each run' at screen 0.7525,0.0225 center front tc rgb '#4D4D4D' font 'Sans,12'
set object rectangle from first 79.25, graph 0 to first 85.7225, graph 1 behind fc rgb '#F4F4F4' fs solid noborder
set object rectangle from first 164.9725, graph 0 to first 171.445, graph 1 behind fc rgb '#F4F4F4' fs solid noborder
set object rectangle from graph 0, first -0.1296 to graph 1, first 0.1296 behind fc rgb '#DDDDDD' fs solid 0.6 noborder
set arrow from graph 0, first 0 to graph 1, first 0 nohead lw 1 lc rgb '#4D4D4D'
set label 'outlet' at graph 1, first 0 left offset 0.6,0 front tc rgb '#BF5300' font 'Sans,12'
$residual << EOD
1 NaN
23 0.018
46 NaN
68 -0.054

86.7225 NaN
108.7225 NaN
131.7225 NaN
153.7225 NaN

172.445 -0.018
194.445 -0.036
217.445 NaN

NaN NaN
EOD
plot NaN, $residual using 1:2 with points pt 7 ps 0.45 lc rgb '#D55E00'
unset multiplot
unset output
