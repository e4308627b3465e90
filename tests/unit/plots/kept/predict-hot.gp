# predict-hot: it boils; target above what scalds, the end as in the trace; looked at 2026-11-28
load 'head.gp'
set label '52 °C after 48 min (95 %: 45 to 51)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'Glazed wash stand, 40 kg of water, steady sun of 900 W/m², air at 22 °C' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
$trace << EOD
0 40 39 41 1100
30 45 44 46 900
60 50 49 51 900
90 55 54 56 900
120 60 59 61 900
150 65 64 66 900
180 70 69 71 900
210 75 74 76 900
240 80 79 81 900
NaN NaN NaN NaN NaN
EOD
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.8600
set bmargin at screen 0.3650
set tmargin at screen 0.8400
set grid xtics ytics back ls 100
set label 'Water in the container, °C (95 % band)' at screen 0.0180,0.8660 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [30:90]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 30,10,90.00001
set xrange [0:240]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 20, '' 40, '' 60, '' 80, '' 100, '' 120, '' 140, '' 160, '' 180, '' 200, '' 220, '' 240)
set arrow from graph 0, first 52 to graph 1, first 52 nohead lw 1.5 dt (3,3) lc rgb '#000000'
set label '52 °C: target' at graph 0, first 52 left offset 0.6,0.7 front tc rgb '#000000' font 'Sans,12'
set arrow from graph 0, first 49 to graph 1, first 49 nohead lw 1.5 dt (8,4) lc rgb '#D55E00'
set label '49 °C: scalds from here on' at graph 0, first 49 left offset 0.6,-0.7 front tc rgb '#BF5300' font 'Sans,12'
$arrival << EOD
48 52 44.7333333 51.2666667
NaN NaN NaN NaN
EOD
set arrow from first 48, graph 0 to first 48, first 52 nohead lw 1.2 dt (3,3) lc rgb '#4D4D4D'
set label '48 min (45 to 51)' at first 48, first 52 left offset 0.8,-2.4 front tc rgb '#000000' font 'Sans,13.5'
set label 'store 80 °C' at graph 1, first 80 left offset 0.6,0 front tc rgb '#0072B2' font 'Sans,12'
plot NaN, $trace using 1:3:4 with filledcurves fs transparent solid 0.18 lc rgb '#0072B2', $trace using 1:2 with lines lw 3 lc rgb '#0072B2', $arrival using 1:2:3:4 with xerrorbars lw 2.5 pt 7 ps 1.7 lc rgb '#000000'
unset label
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.8600
set bmargin at screen 0.0950
set tmargin at screen 0.2550
set grid xtics ytics back ls 100
set label 'Irradiance in the collector plane, W/m²' at screen 0.0180,0.2810 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0:1500]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,500,1500.0005
set xrange [0:240]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('0' 0, '20' 20, '40' 40, '60' 60, '80' 80, '100' 100, '120' 120, '140' 140, '160' 160, '180' 180, '200' 200, '220' 220, '240' 240)
set label 'minutes from the start' at screen 0.4625,0.0325 center front tc rgb '#4D4D4D' font 'Sans,12'
plot $trace using 1:5 with filledcurves y1=0 fs transparent solid 0.15 lc rgb '#E69F00', $trace using 1:5 with lines lw 2 lc rgb '#E69F00'
unset multiplot
unset output
