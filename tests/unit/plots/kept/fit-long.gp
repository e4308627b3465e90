# fit-long: long names cut, names at line ends moved apart, seven hours; looked at 2026-11-28
load 'head.gp'
set label 'Glazed wash stand with two panes, a painted coil…: 71 % at zero loss, 8.1 W/(m² K)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'wash-stand-glazed-with-two-panes-and-straw…: Behind the seedling tunnel, with the lid left…, 4 May 2026, 51.87° N, 0.63° E' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.0600
set rmargin at screen 0.5000
set bmargin at screen 0.3700
set tmargin at screen 0.7600
set grid xtics ytics back ls 100
set label 'Efficiency on gross area, 95 % band (dashed: extrapolated)' at screen 0.0180,0.8600 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0.2:0.9]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0.2,0.1,0.9000001
set xrange [-0.0118:0.0518]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' -0.02,0.02,0.06000002
set label '(temperature − air) / irradiance, m² K/W' at screen 0.2800,0.3075 center front tc rgb '#4D4D4D' font 'Sans,12'
set x2range [-10.62:46.62]
set x2tics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' -10,10,40.00001
set border 5
set label 'K warmer than the air, in 900 W/m² of sun' at screen 0.2800,0.8160 center front tc rgb '#4D4D4D' font 'Sans,12'
set label 'Numbers' at screen 0.0180,0.2420 left front tc rgb '#000000' font 'Sans,13.5'
set label '95 % interval' at screen 0.3650,0.2420 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'zero-loss efficiency η₀' at screen 0.0180,0.2040 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '0.712' at screen 0.3500,0.2040 right front tc rgb '#000000' font 'Sans,13.5'
set label '0.668 to 0.756' at screen 0.3650,0.2040 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'loss a₁, W/(m² K)' at screen 0.0180,0.1700 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '8.10' at screen 0.3500,0.1700 right front tc rgb '#000000' font 'Sans,13.5'
set label '6.84 to 9.36' at screen 0.3650,0.1700 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'efficiency of the run' at screen 0.0180,0.1360 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '0.612' at screen 0.3500,0.1360 right front tc rgb '#000000' font 'Sans,13.5'
set label '0.577 to 0.648' at screen 0.3650,0.1360 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'stagnation above air, K' at screen 0.0180,0.1020 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '87.9' at screen 0.3500,0.1020 right front tc rgb '#000000' font 'Sans,13.5'
set label '75.4 to 100.5' at screen 0.3650,0.1020 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'per gross area; collector at its mean temperature' at screen 0.0180,0.0680 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'stagnation may well be higher than this' at screen 0.0180,0.0340 left front tc rgb '#4D4D4D' font 'Sans,12'
$curve << EOD
-0.01 0.79 0.74 0.84 NaN 0.79
0.002 0.7 0.65 0.74 0.7 0.7
0.014 0.6 0.55 0.65 0.6 0.6
0.026 0.5 0.44 0.57 NaN 0.5
0.038 0.4 0.32 0.49 NaN 0.4
0.05 0.31 0.2 0.42 NaN 0.31
NaN NaN NaN NaN NaN NaN
EOD
$loose << EOD
-0.0046 0.75 0.024
0.0014 0.7 0.024
NaN NaN NaN
EOD
$steady << EOD
0.0074 0.66 0.024
0.0134 0.61 0.024
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
set label 'Temperature, °C: measured (marks), modelled' at screen 0.5550,0.8600 left front tc rgb '#000000' font 'Sans,13.5'
$measured0 << EOD
1 16.29
16 19.85
31 22.44
46 24.61
61 27.58
420 30

NaN NaN
EOD
$driving0 << EOD
1 NaN
16 NaN
31 NaN
46 NaN
61 NaN
420 NaN

NaN NaN
EOD
$modelled0 << EOD
1 16.24
16 19.78
31 22.46
46 24.67
61 27.59
420 29.96

NaN NaN
EOD
$measured1 << EOD
1 NaN
16 NaN
31 NaN
46 NaN
61 NaN
420 NaN

NaN NaN
EOD
$driving1 << EOD
1 NaN
16 NaN
31 NaN
46 NaN
61 NaN
420 NaN

NaN NaN
EOD
$modelled1 << EOD
1 NaN
16 NaN
31 NaN
46 NaN
61 NaN
420 NaN

NaN NaN
EOD
$measured2 << EOD
1 NaN
16 NaN
31 NaN
46 NaN
61 NaN
420 NaN

NaN NaN
EOD
$driving2 << EOD
1 NaN
16 NaN
31 NaN
46 NaN
61 NaN
420 NaN

NaN NaN
EOD
$modelled2 << EOD
1 NaN
16 NaN
31 NaN
46 NaN
61 NaN
420 NaN

NaN NaN
EOD
$air << EOD
1 16.34
16 19.88
31 22.56
46 24.77
61 27.69
420 30.06

NaN NaN
EOD
set yrange [15:35]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 15,5,35.000005
set xrange [0:427.5]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 120, '' 240, '' 360)
set x2range [0:427.5]
set x2tics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('12:00' 77.45, '14:00' 197.45, '16:00' 317.45)
set border 5
set label 'UTC' at screen 0.9430,0.8270 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'tank top' at graph 1, first 29.0296078 left offset 0.6,0 front tc rgb '#0072B2' font 'Sans,12'
set label 'air' at graph 1, first 30.9903922 left offset 0.6,0 front tc rgb '#007A5A' font 'Sans,12'
plot NaN, $air using 1:2 with lines lw 2 dt (10,5) lc rgb '#009E73', $modelled0 using 1:2 with lines lw 2.5 dt solid lc rgb '#0072B2', $driving0 using 1:2 with lines lw 1.5 dt solid lc rgb '#0072B2', $measured0 using 1:2 with points lw 1.2 pt 6 ps 0.7 lc rgb '#4D4D4D'
unset label
load 'panel.gp'
set lmargin at screen 0.5900
set rmargin at screen 0.9150
set bmargin at screen 0.3650
set tmargin at screen 0.4650
set grid xtics ytics back ls 100
set label 'Irradiance, W/m²' at screen 0.5550,0.4890 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0:1000]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,500,1000.0005
set xrange [0:427.5]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 120, '' 240, '' 360)
$sun << EOD
1 861.6
16 879.45
31 901.54
46 319.19
61 916.41
420 917.55

NaN NaN
EOD
set label 'Flow (thin line), L/min' at screen 0.9880,0.4890 right front tc rgb '#0072B2' font 'Sans,13.5'
set y2range [0:5]
set y2tics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,2.5,5.0000025
$flow << EOD
1 3.922
16 3.922
31 3.848
46 0
61 3.811
420 3.811

NaN NaN
EOD
plot NaN, $sun using 1:2 with filledcurves y1=0 fs transparent solid 0.15 lc rgb '#E69F00', $sun using 1:2 with lines lw 2 lc rgb '#E69F00', $flow using 1:2 axes x1y2 with lines lw 1.2 lc rgb '#0072B2'
unset label
load 'panel.gp'
set lmargin at screen 0.5900
set rmargin at screen 0.9150
set bmargin at screen 0.0850
set tmargin at screen 0.2850
set grid xtics ytics back ls 100
set yrange [-0.1:0.1]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' -0.1,0.1,0.1000001
set xrange [0:427.5]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('0' 0, '2' 120, '4' 240, '6' 360)
set label 'hours from the start' at screen 0.7525,0.0225 center front tc rgb '#4D4D4D' font 'Sans,12'
set object rectangle from graph 0, first -0.072 to graph 1, first 0.072 behind fc rgb '#DDDDDD' fs solid 0.6 noborder
set arrow from graph 0, first 0 to graph 1, first 0 nohead lw 1 lc rgb '#4D4D4D'
set label 'tank top' at graph 1, first 0 left offset 0.6,0 front tc rgb '#0072B2' font 'Sans,12'
set label 'Measured − modelled, K (band: ±2 s = ±0.072)' at screen 0.5550,0.3110 left front tc rgb '#000000' font 'Sans,13.5'
$residual << EOD
1 0.05
16 0.07
31 -0.01
46 -0.06
61 -0.01
420 0.04

NaN NaN
EOD
plot NaN, $residual using 1:2 with points pt 7 ps 0.45 lc rgb '#0072B2'
unset multiplot
unset output
