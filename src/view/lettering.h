#pragma once
// Words, leaders and scales on a finished picture. For this folder's .cpp files only.

#include <memory>
#include <string>

#include "view/camera.h"
#include "view/picture.h"
#include "view/scene_view.h"

namespace underfoot {

/// Room that labels, title and scale take at the sides of a picture.
Insets letteringInsets(const PictureOptions& options);

/// Sets text with the embedded type. Keeps what the type needs for its own lifetime.
class Lettering {
  public:
    static std::unique_ptr<Lettering> create();
    virtual ~Lettering() = default;
    virtual void drawOn(Image& image, const Annotations& annotations, const PictureOptions& options,
                        const std::string& title) = 0;

  protected:
    Lettering() = default;
    Lettering(const Lettering&) = delete;
    Lettering& operator=(const Lettering&) = delete;
};

}  // namespace underfoot
