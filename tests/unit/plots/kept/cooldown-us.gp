# cooldown-us: two hours of it, doubtful, US units; looked at 2026-11-28
load 'head.gp'
set label 'Doubtful: The container loses 3.03 Btu/(h °F) (95 %: 2.65 to 3.41 Btu/(h °F))' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'evening, 4 May 2026' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
$cooling << EOD
0 111.2 111.2 57.2 0
40 108.932 108.95 56.3 -0.018
80 106.772 106.7 55.4 0.072
120 104.396 104.45 54.5 -0.054
EOD
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.9200
set bmargin at screen 0.3600
set tmargin at screen 0.7750
set grid xtics ytics back ls 100
set label 'Temperature, °F: measured (dots), fitted' at screen 0.0180,0.8410 left front tc rgb '#000000' font 'Sans,13.5'
set xrange [0:120]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 10, '' 20, '' 30, '' 40, '' 50, '' 60, '' 70, '' 80, '' 90, '' 100, '' 110, '' 120)
set x2range [0:120]
set x2tics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('18:20' 18, '18:40' 38, '19:00' 58, '19:20' 78, '19:40' 98, '20:00' 118)
set border 5
set label 'UTC' at screen 0.9480,0.8020 left front tc rgb '#4D4D4D' font 'Sans,12'
set yrange [50:120]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 50,10,120.00001
set label 'water' at graph 1, first 104.45 left offset 0.6,0 front tc rgb '#0072B2' font 'Sans,12'
set label 'air' at graph 1, first 54.5 left offset 0.6,0 front tc rgb '#007A5A' font 'Sans,12'
plot $cooling using 1:4 with lines lw 2 dt (10,5) lc rgb '#009E73', $cooling using 1:3 with lines lw 3 lc rgb '#0072B2', $cooling using 1:2 with points pt 7 ps 0.35 lc rgb '#000000'
unset label
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.9200
set bmargin at screen 0.1050
set tmargin at screen 0.2900
set grid xtics ytics back ls 100
set label 'Measured − fitted, °F' at screen 0.0180,0.3120 left front tc rgb '#000000' font 'Sans,13.5'
set xrange [0:120]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('0' 0, '10' 10, '20' 20, '30' 30, '40' 40, '50' 50, '60' 60, '70' 70, '80' 80, '90' 90, '100' 100, '110' 110, '120' 120)
set label 'minutes from the start' at screen 0.4925,0.0425 center front tc rgb '#4D4D4D' font 'Sans,12'
set yrange [-0.1:0.1]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' -0.1,0.05,0.10000005
plot $cooling using 1:5 with points pt 7 ps 0.5 lc rgb '#8A8A8A', 0 with lines lw 1.5 lc rgb '#000000'
unset multiplot
unset output
