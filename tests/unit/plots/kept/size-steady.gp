# size-steady: steady sun, reached, US units; looked at 2026-11-28
load 'head.gp'
set label '109 °F within 120 min is reached: 122 °F (95 %: 115 to 128)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'Glazed wash stand, 10.6 gal of water from 59 °F, steady sun of 285 Btu/(h ft²), air at 72 °F' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
set label '' at screen 0.0650,0.0300 left front tc rgb '#000000' font 'Sans,12'
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.8000
set bmargin at screen 0.1250
set tmargin at screen 0.8350
set grid xtics ytics back ls 100
set label 'Water that reaches 109 °F, gal (below the lines)' at screen 0.0180,0.8610 left front tc rgb '#000000' font 'Sans,13.5'
set xrange [0:14.8003768]
set yrange [0:20.7938044]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' 0,2.5,14.8003793
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,5,20.7938094
set label 'gross area of this build, ft²' at screen 0.4325,0.0625 center front tc rgb '#4D4D4D' font 'Sans,12'
$borders << EOD
0.538195521 0.756138341 0.657511601 0.756138341 0.657511601
4.84375969 6.80524507 5.91760441 6.80524507 5.91760441
9.14932385 12.8543518 11.1776972 12.8543518 11.1776972
13.454888 18.9034585 16.43779 18.9034585 16.43779
17.7604522 24.9525653 21.6978828 24.9525653 21.6978828
22.0660164 31.001672 26.9579757 31.001672 26.9579757
NaN NaN NaN NaN NaN
EOD
set arrow from first 0, first 10.5859368 to first 14.8003768, first 10.5859368 nohead front lw 1 dt (5,4) lc rgb '#4D4D4D'
set arrow from first 11.8403015, first 0 to first 11.8403015, first 20.7938044 nohead front lw 1 dt (5,4) lc rgb '#4D4D4D'
set label '' at first 7.53473729, first 10.5859368 front point pt 6 ps 1.4 lc rgb '#000000'
set label '' at first 11.8403015, first 16.6350435 front point pt 6 ps 1.4 lc rgb '#000000'
set label 'just 7.5 ft²' at first 7.53473729, first 10.5859368 right offset -0.7,0.7 front tc rgb '#000000' font 'Sans,12'
set label 'just 16.64 gal' at first 11.8403015, first 16.6350435 right offset -0.7,0.7 front tc rgb '#000000' font 'Sans,12'
set label '' at first 8.66494789, first 10.5859368 front point pt 6 ps 1.4 lc rgb '#000000'
set label '' at first 11.8403015, first 14.4652552 front point pt 6 ps 1.4 lc rgb '#000000'
set label 'sure 8.7 ft²' at first 8.66494789, first 10.5859368 left offset 0.8,-0.75 front tc rgb '#000000' font 'Sans,12'
set label 'sure 14.47 gal' at first 11.8403015, first 14.4652552 left offset 0.8,-0.75 front tc rgb '#000000' font 'Sans,12'
set label '' at first 11.8403015, first 10.5859368 front point pt 7 ps 1.9 lc rgb '#000000'
set label 'as asked: 122 °F' at first 11.8403015, first 10.5859368 left offset 1,-1 front tc rgb '#000000' font 'Sans,13.5'
set label 'more likely than not' at graph 1, first 20.7938044 left offset 0.6,0 front tc rgb '#4D4D4D' font 'Sans,12'
set label 'sure (95 %)' at graph 1, first 18.081569 left offset 0.6,0 front tc rgb '#0072B2' font 'Sans,12'
plot NaN, $borders using 1:2 with filledcurves y1=0 fs solid 1.0 noborder lc rgb '#CFE3F0', $borders using 1:3 with filledcurves y1=0 fs solid 1.0 noborder lc rgb '#7FB8D8', $borders using 1:4 with lines lw 2 dt (8,4) lc rgb '#4D4D4D', $borders using 1:5 with lines lw 3 lc rgb '#0072B2'
unset multiplot
unset output
