# predict-not: little sun, not reached, no name, water not known; looked at 2026-11-28
load 'head.gp'
set label '43 °C is not reached: 38 °C in the end (95 %: 35 to 40)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'wash-stand-glazed, steady sun of 450 W/m², air at 22 °C' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
$trace << EOD
0 15 15 15 450
30 19.07 18.78 19.35 450
60 22.7 22.16 23.24 450
90 25.94 25.17 26.7 450
120 28.83 27.87 29.8 450
150 31.42 30.27 32.57 450
180 33.73 32.42 35.04 450
210 35.79 34.33 37.24 450
240 37.63 36.05 39.21 450
NaN NaN NaN NaN NaN
EOD
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.8600
set bmargin at screen 0.3650
set tmargin at screen 0.8400
set grid xtics ytics back ls 100
set label 'Water in the container, °C (95 % band)' at screen 0.0180,0.8660 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [10:60]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 10,10,60.00001
set xrange [0:240]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 20, '' 40, '' 60, '' 80, '' 100, '' 120, '' 140, '' 160, '' 180, '' 200, '' 220, '' 240)
set arrow from graph 0, first 43 to graph 1, first 43 nohead lw 1.5 dt (3,3) lc rgb '#000000'
set label '43 °C: target' at graph 0, first 43 left offset 0.6,-0.7 front tc rgb '#000000' font 'Sans,12'
set arrow from graph 0, first 49 to graph 1, first 49 nohead lw 1.5 dt (8,4) lc rgb '#D55E00'
set label '49 °C: scalds from here on' at graph 0, first 49 left offset 0.6,0.7 front tc rgb '#BF5300' font 'Sans,12'
$arrival << EOD
NaN NaN NaN NaN
NaN NaN NaN NaN
EOD
set label 'store 38 °C' at graph 1, first 37.6884456 left offset 0.6,0 front tc rgb '#0072B2' font 'Sans,12'
plot NaN, $trace using 1:3:4 with filledcurves fs transparent solid 0.18 lc rgb '#0072B2', $trace using 1:2 with lines lw 3 lc rgb '#0072B2', $arrival using 1:2:3:4 with xerrorbars lw 2.5 pt 7 ps 1.7 lc rgb '#000000'
unset label
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.8600
set bmargin at screen 0.0950
set tmargin at screen 0.2550
set grid xtics ytics back ls 100
set label 'Irradiance in the collector plane, W/m²' at screen 0.0180,0.2810 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0:600]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,200,600.0002
set xrange [0:240]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('0' 0, '20' 20, '40' 40, '60' 60, '80' 80, '100' 100, '120' 120, '140' 140, '160' 160, '180' 180, '200' 200, '220' 220, '240' 240)
set label 'minutes from the start' at screen 0.4625,0.0325 center front tc rgb '#4D4D4D' font 'Sans,12'
plot $trace using 1:5 with filledcurves y1=0 fs transparent solid 0.15 lc rgb '#E69F00', $trace using 1:5 with lines lw 2 lc rgb '#E69F00'
unset multiplot
unset output
