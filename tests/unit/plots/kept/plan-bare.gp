# plan-bare: nothing would help, nothing known of what limits it; looked at 2026-11-28
load 'head.gp'
set label 'In 90 minutes: η₀ ±0.044, a₁ not determined' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'Glazed wash stand, clear sky of 19 June 2026, air at 22 °C, water from 15 °C; supposed η₀ 0.71, a₁ ?' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.0000
set rmargin at screen 1.0000
set bmargin at screen 0.0000
set tmargin at screen 1.0000
set grid xtics ytics back ls 100
set label 'The test' at screen 0.0180,0.8710 left front tc rgb '#000000' font 'Sans,13.5'
set label '± of η₀ (95 %)' at screen 0.5050,0.8710 left front tc rgb '#000000' font 'Sans,12'
set label '± of a₁, W/(m² K)' at screen 0.7600,0.8710 left front tc rgb '#000000' font 'Sans,12'
set label 'As planned' at screen 0.0180,0.8185 left front tc rgb '#4D4D4D' font 'Sans,12'
set object rectangle from screen 0.5050, screen 0.8026 to screen 0.6250, screen 0.8344 front fc rgb '#8A8A8A' fs solid 0.85 border lc rgb '#8A8A8A'
set label '0.044' at screen 0.6350,0.8185 left front tc rgb '#000000' font 'Sans,12'
set label 'not determined' at screen 0.7600,0.8185 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'None of the usual improvements would change this by 5 %.' at screen 0.0180,0.7660 left front tc rgb '#000000' font 'Sans,12'
set border 0
set xrange [0:1]
set yrange [0:1]
plot NaN
unset multiplot
unset output
