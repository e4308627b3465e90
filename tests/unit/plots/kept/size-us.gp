# size-us: the same, none sure, by the sun, doubtful, US units; looked at 2026-11-28
load 'head.gp'
set label 'Doubtful: 109 °F by 15:00 is reached: 122 °F (95 %: 115 to 128)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'Glazed wash stand, 10.6 gal of water from 59 °F, clear sky of 19 June 2026, air at 72 °F' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
set label '' at screen 0.0650,0.0300 left front tc rgb '#000000' font 'Sans,12'
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.8000
set bmargin at screen 0.3450
set tmargin at screen 0.8350
set grid xtics ytics back ls 100
set label 'Water that reaches 109 °F, gal (below the lines)' at screen 0.0180,0.8610 left front tc rgb '#000000' font 'Sans,13.5'
set xrange [0:14.8003768]
set yrange [0:20.7938044]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' 0,2.5,14.8003793
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,5,20.7938094
set label 'gross area of this build, ft²' at screen 0.4325,0.2825 center front tc rgb '#4D4D4D' font 'Sans,12'
$borders << EOD
0.538195521 0.756138341 0 0.756138341 NaN
4.84375969 6.80524507 0 6.80524507 NaN
9.14932385 12.8543518 0 12.8543518 NaN
13.454888 18.9034585 0 18.9034585 NaN
17.7604522 24.9525653 0 24.9525653 NaN
22.0660164 31.001672 0 31.001672 NaN
NaN NaN NaN NaN NaN
EOD
set arrow from first 0, first 10.5859368 to first 14.8003768, first 10.5859368 nohead front lw 1 dt (5,4) lc rgb '#4D4D4D'
set arrow from first 11.8403015, first 0 to first 11.8403015, first 20.7938044 nohead front lw 1 dt (5,4) lc rgb '#4D4D4D'
set label '' at first 7.53473729, first 10.5859368 front point pt 6 ps 1.4 lc rgb '#000000'
set label '' at first 11.8403015, first 16.6350435 front point pt 6 ps 1.4 lc rgb '#000000'
set label 'just 7.5 ft²' at first 7.53473729, first 10.5859368 right offset -0.7,0.7 front tc rgb '#000000' font 'Sans,12'
set label 'just 16.64 gal' at first 11.8403015, first 16.6350435 right offset -0.7,0.7 front tc rgb '#000000' font 'Sans,12'
set label 'none is 95 % sure' at screen 0.0750,0.8050 left front tc rgb '#000000' font 'Sans,12'
set label '' at first 11.8403015, first 10.5859368 front point pt 7 ps 1.9 lc rgb '#000000'
set label 'as asked: 122 °F' at first 11.8403015, first 10.5859368 left offset 1,-1 front tc rgb '#000000' font 'Sans,13.5'
set label 'more likely than not' at graph 1, first 20.7938044 left offset 0.6,0 front tc rgb '#4D4D4D' font 'Sans,12'
plot NaN, $borders using 1:2 with filledcurves y1=0 fs solid 1.0 noborder lc rgb '#CFE3F0', $borders using 1:3 with filledcurves y1=0 fs solid 1.0 noborder lc rgb '#7FB8D8', $borders using 1:4 with lines lw 2 dt (8,4) lc rgb '#4D4D4D', $borders using 1:5 with lines lw 3 lc rgb '#0072B2'
unset label
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.9750
set bmargin at screen 0.0850
set tmargin at screen 0.1600
set grid xtics ytics back ls 100
set label 'Start of the heat-up, solar time: 13:00 at the latest, none is 95 % sure; line: 9:57, as asked' at screen 0.0650,0.1820 left front tc rgb '#000000' font 'Sans,13.5'
set xrange [18000:46951.2]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('7:00' 18151.2, '8:00' 21751.2, '9:00' 25351.2, '10:00' 28951.2, '11:00' 32551.2, '12:00' 36151.2, '13:00' 39751.2, '14:00' 43351.2, '15:00' 46951.2)
set yrange [0:1]
set grid noytics
set object rectangle from first 18000, graph 0.12 to first 39751.2, graph 0.88 back fc rgb '#CFE3F0' fs solid noborder
set label 'more likely than not' at first 34275.6, first 0.5 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set object rectangle from first 39751.2, graph 0.12 to first 46951.2, graph 0.88 back fc rgb '#EEEEEE' fs solid noborder
set label 'too late' at first 43351.2, first 0.5 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set arrow from first 28800, graph 0 to first 28800, graph 1 nohead lw 3 lc rgb '#000000'
plot NaN
unset multiplot
unset output
