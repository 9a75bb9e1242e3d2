#include "viewer/scene/lighting.hpp"

#include <vtkLight.h>
#include <vtkNew.h>
#include <vtkRenderer.h>

namespace baywright::viewer {

void light(vtkRenderer* renderer) {
  struct Lamp {
    double x, y, z, intensity;  // camera frame: x right, y up, z toward the viewer
  };
  renderer->RemoveAllLights();
  renderer->AutomaticLightCreationOff();
  for (const auto& lamp : {Lamp{-0.45, 0.65, 1.0, 0.95}, Lamp{0.9, 0.1, 0.6, 0.34}, Lamp{0.0, -0.9, 0.4, 0.16}}) {
    vtkNew<vtkLight> one;
    one->SetLightTypeToCameraLight();
    one->SetPosition(lamp.x, lamp.y, lamp.z);
    one->SetFocalPoint(0, 0, 0);
    one->SetIntensity(lamp.intensity);
    renderer->AddLight(one);
  }
}

void shade_corners(vtkRenderer* renderer, bool shaded) {
  constexpr double kReach_mm = 45;  // about the gap between things in a bay
  constexpr double kBias_mm = 1.5;  // below this a surface does not shade itself
  constexpr unsigned kSamples = 48;
  renderer->SetUseSSAO(shaded);
  renderer->SetSSAORadius(kReach_mm);
  renderer->SetSSAOBias(kBias_mm);
  renderer->SetSSAOKernelSize(kSamples);
  renderer->SSAOBlurOn();
}

}  // namespace baywright::viewer
