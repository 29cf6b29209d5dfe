#pragma once
// Pictures without a window or a display.

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "measure/diagnostic.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "view/camera.h"
#include "view/scene_view.h"

namespace underfoot {

/// 8 bits each of red, green, blue, alpha (sRGB, opaque); top row first.
struct Image {
    int width = 0;
    int height = 0;
    std::vector<uint8_t> rgba;
    const uint8_t* at(int x, int y) const {
        return &rgba[4 * (static_cast<size_t>(y) * static_cast<size_t>(width) + static_cast<size_t>(x))];
    }
};

/// The bytes of a PNG file. An empty image is a broken call.
std::string encodePng(const Image& image);
/// Reads a PNG that encodePng wrote (or any other of 8 bits a channel).
Result<Image> decodePng(const std::string& bytes);

/// An OpenGL 3.3 core context with no window, made current; given back at its end. Tries the software
/// rasteriser or card without a surface, then each device, then the default display.
class OffscreenContext {
  public:
    static Result<std::unique_ptr<OffscreenContext>> create();
    virtual ~OffscreenContext() = default;
    virtual void makeCurrent() = 0;

  protected:
    OffscreenContext() = default;
    OffscreenContext(const OffscreenContext&) = delete;
    OffscreenContext& operator=(const OffscreenContext&) = delete;
};

struct PictureOptions {
    int width = 1600;
    int height = 1000;
    Camera camera;
    bool fit = true;  ///< fit the camera to what is shown, room for labels kept
    Look look;
    bool labels = true;
    bool title = true;     ///< the plan's title at the upper left, the view's line of words below it
    std::string subtitle;  ///< "" leaves the line out
    double textScale = 1;
};

/// One picture, painted by the processor at Quality::Fine: no OpenGL, which would take longer to start than
/// this takes altogether.
Image renderPicture(const Model& model, const Catalogue& catalogue, const PictureOptions& options);

/// The same with OpenGL, as the window draws it, in a context and with a renderer that are kept.
class PictureStudio {
  public:
    static Result<std::unique_ptr<PictureStudio>> create(Shading shading = Shading::Chosen);
    virtual ~PictureStudio() = default;
    virtual void setModel(std::shared_ptr<const Model> model, const Catalogue& catalogue) = 0;
    /// As Renderer::moveHeights. Fitting and labels keep to the model set last.
    virtual void moveHeights(const Model& model, std::span<const int> moved) = 0;
    virtual Image picture(const PictureOptions& options) = 0;
    virtual std::string device() const = 0;

  protected:
    PictureStudio() = default;
    PictureStudio(const PictureStudio&) = delete;
    PictureStudio& operator=(const PictureStudio&) = delete;
};

}  // namespace underfoot
