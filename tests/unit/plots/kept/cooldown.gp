# cooldown: six hours of an evening, 44 to 33 degC; looked at 2026-11-28
load 'head.gp'
set label 'The container loses 1.60 W/K (95 %: 1.40 to 1.80 W/K)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'evening, 4 May 2026' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
$cooling << EOD
0 44 44 14 0
40 42.74 42.75 13.5 -0.01
80 41.54 41.5 13 0.04
120 40.22 40.25 12.5 -0.03
160 39.02 39 12 0.02
200 37.76 37.75 11.5 0.01
240 36.5 36.5 11 0
280 35.24 35.25 10.5 -0.01
320 34.04 34 10 0.04
360 32.72 32.75 9.5 -0.03
EOD
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.9200
set bmargin at screen 0.3600
set tmargin at screen 0.7750
set grid xtics ytics back ls 100
set label 'Temperature, °C: measured (dots), fitted' at screen 0.0180,0.8410 left front tc rgb '#000000' font 'Sans,13.5'
set xrange [0:360]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 30, '' 60, '' 90, '' 120, '' 150, '' 180, '' 210, '' 240, '' 270, '' 300, '' 330, '' 360)
set x2range [0:360]
set x2tics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('19:00' 58, '20:00' 118, '21:00' 178, '22:00' 238, '23:00' 298, '0:00' 358)
set border 5
set label 'UTC' at screen 0.9480,0.8020 left front tc rgb '#4D4D4D' font 'Sans,12'
set yrange [0:50]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,10,50.00001
set label 'water' at graph 1, first 32.75 left offset 0.6,0 front tc rgb '#0072B2' font 'Sans,12'
set label 'air' at graph 1, first 9.5 left offset 0.6,0 front tc rgb '#007A5A' font 'Sans,12'
plot $cooling using 1:4 with lines lw 2 dt (10,5) lc rgb '#009E73', $cooling using 1:3 with lines lw 3 lc rgb '#0072B2', $cooling using 1:2 with points pt 7 ps 0.35 lc rgb '#000000'
unset label
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.9200
set bmargin at screen 0.1050
set tmargin at screen 0.2900
set grid xtics ytics back ls 100
set label 'Measured − fitted, K' at screen 0.0180,0.3120 left front tc rgb '#000000' font 'Sans,13.5'
set xrange [0:360]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('0' 0, '30' 30, '60' 60, '90' 90, '120' 120, '150' 150, '180' 180, '210' 210, '240' 240, '270' 270, '300' 300, '330' 330, '360' 360)
set label 'minutes from the start' at screen 0.4925,0.0425 center front tc rgb '#4D4D4D' font 'Sans,12'
set yrange [-0.05:0.05]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' -0.05,0.05,0.05000005
plot $cooling using 1:5 with points pt 7 ps 0.5 lc rgb '#8A8A8A', 0 with lines lw 1.5 lc rgb '#000000'
unset multiplot
unset output
