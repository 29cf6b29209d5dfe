#include "view/picture.h"

#include <algorithm>
#include <utility>

#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "plan/plan.h"
#include "view/gl.h"
#include "view/lettering.h"
#include "view/painter.h"

namespace underfoot {

namespace {

constexpr double labelHeight = 44;  // pixels for the two lines of a label

/// `options`: their camera is the one the picture was taken with.
void addLettering(Image& image, const Model& model, const PictureOptions& options, const Insets& insets,
                  const SeenAt& seen) {
    if (!options.labels && !options.title) return;
    Annotations annotations;
    if (options.labels)
        annotations = annotate(model, options.camera, options.look, image.width, image.height, insets,
                               labelHeight * options.textScale, seen);
    Lettering::create()->drawOn(image, annotations, options, model.plan.title);
}

class GlStudio final : public PictureStudio {
  public:
    GlStudio(std::unique_ptr<OffscreenContext> context, std::unique_ptr<Renderer> renderer)
        : context_(std::move(context)), renderer_(std::move(renderer)), canvas_(std::make_unique<Target>()) {}
    ~GlStudio() override {
        context_->makeCurrent();
        canvas_.reset();
        renderer_.reset();
    }
    GlStudio(const GlStudio&) = delete;
    GlStudio& operator=(const GlStudio&) = delete;

    void setModel(std::shared_ptr<const Model> model, const Catalogue& catalogue) override {
        context_->makeCurrent();
        model_ = model;
        catalogue_ = catalogue;
        renderer_->setModel(std::move(model), catalogue);
    }

    void moveHeights(const Model& model, std::span<const int> moved) override {
        context_->makeCurrent();
        renderer_->moveHeights(model, moved);
    }
    Image picture(const PictureOptions& options) override;
    std::string device() const override { return renderer_->device(); }

  private:
    Image readBack(int width, int height) const;

    std::unique_ptr<OffscreenContext> context_;
    std::unique_ptr<Renderer> renderer_;
    std::unique_ptr<Target> canvas_;
    std::shared_ptr<const Model> model_;
    Catalogue catalogue_;
};

Image GlStudio::readBack(int width, int height) const {
    Image image{width, height, {}};
    const size_t row = 4 * static_cast<size_t>(width);
    image.rgba.resize(row * static_cast<size_t>(height));
    glPixelStorei(GL_PACK_ALIGNMENT, 1);
    canvas_->bind();
    glReadPixels(0, 0, width, height, GL_RGBA, GL_UNSIGNED_BYTE, image.rgba.data());
    for (size_t y = 0; y < static_cast<size_t>(height) / 2; ++y)
        std::swap_ranges(image.rgba.begin() + static_cast<ptrdiff_t>(y * row),
                         image.rgba.begin() + static_cast<ptrdiff_t>((y + 1) * row),
                         image.rgba.end() - static_cast<ptrdiff_t>((y + 1) * row));
    return image;
}

Image GlStudio::picture(const PictureOptions& options) {
    context_->makeCurrent();
    const int width = std::clamp(options.width, 16, 8192), height = std::clamp(options.height, 16, 8192);
    canvas_->resize(width, height, {GL_RGBA8}, false);
    Camera camera = options.camera;
    const Insets insets = letteringInsets(options);
    if (options.fit && model_) camera.fit(shownBounds(*model_, options.look), width, height, insets);
    canvas_->bind();
    renderer_->draw(camera, options.look, 0, 0, width, height, canvas_->id());
    Image image = readBack(width, height);
    if (!model_) return image;
    PictureOptions fitted = options;
    fitted.camera = camera;
    addLettering(image, *model_, fitted, insets, {});
    return image;
}

}  // namespace

Result<std::unique_ptr<PictureStudio>> PictureStudio::create(Shading shading) {
    auto context = OffscreenContext::create();
    if (!context) return tl::unexpected(context.error());
    auto renderer = Renderer::create(shading);
    if (!renderer) return tl::unexpected(renderer.error());
    return std::make_unique<GlStudio>(std::move(*context), std::move(*renderer));
}

Image renderPicture(const Model& model, const Catalogue& catalogue, const PictureOptions& asked) {
    PictureOptions options = asked;
    options.width = std::clamp(options.width, 16, 8192);
    options.height = std::clamp(options.height, 16, 8192);
    const Insets insets = letteringInsets(options);
    if (options.fit)
        options.camera.fit(shownBounds(model, options.look), options.width, options.height, insets);
    const auto painting =
        Painting::of(model, catalogue, options.camera, options.look, options.width, options.height);
    Image image = painting->image();
    addLettering(image, model, options, insets, [&](glm::dvec2 pixel) { return painting->at(pixel); });
    return image;
}

}  // namespace underfoot
