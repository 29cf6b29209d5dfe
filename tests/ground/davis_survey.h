#pragma once
// A real survey: 52 ground points, easting, northing and height in feet, numbered from 1 in this order.
// J. C. Davis, Statistics and Data Analysis in Geology (1973); as carried by the R package MASS, data set
// topo, with its plan coordinates times 50. No four points lie on one circle, so the Delaunay triangulation
// is unique.

#include <array>

#include <glm/vec3.hpp>

namespace underfoot_test {

inline const std::array<glm::dvec3, 52> davisSurvey{{
    {15, 305, 870},  {70, 310, 793},  {120, 305, 755}, {180, 310, 690}, {285, 310, 800}, {80, 260, 800},
    {145, 255, 730}, {170, 265, 728}, {170, 285, 710}, {240, 280, 780}, {265, 250, 804}, {310, 260, 855},
    {10, 215, 830},  {45, 210, 813},  {115, 240, 762}, {125, 225, 765}, {150, 225, 740}, {175, 225, 765},
    {205, 230, 760}, {245, 210, 790}, {315, 215, 820}, {45, 160, 855},  {85, 190, 812},  {120, 190, 773},
    {185, 175, 812}, {225, 160, 827}, {260, 160, 805}, {315, 170, 840}, {15, 120, 890},  {100, 135, 820},
    {190, 115, 873}, {315, 110, 875}, {30, 85, 873},   {75, 90, 865},   {105, 90, 841},  {105, 55, 862},
    {155, 55, 908},  {225, 90, 855},  {275, 85, 850},  {285, 50, 882},  {310, 50, 910},  {20, 25, 940},
    {70, 30, 915},   {70, 5, 890},    {105, 35, 880},  {115, 15, 870},  {155, 0, 880},   {205, 40, 960},
    {270, 20, 890},  {300, 5, 860},   {285, 150, 830}, {180, 300, 705},
}};

}  // namespace underfoot_test
