#pragma once
#include <QWidget>
#include "ui/desk/desk_state.h"

class QPushButton;
class QToolButton;

namespace ui {

class ChoiceBox;
class FrameView;
class Label;

/// Above the frame: its number, how far it is from the press mark, gain, zoom, and the regions.
class ViewHeader : public QWidget {
    Q_OBJECT
public:
    ViewHeader(DeskState& state, FrameView& view, QWidget* parent = nullptr);
    static QVector<double> gainSteps();
    void stepGain(int steps); ///< brighter or darker

signals:
    void gainChanged(double gain); ///< of the frame; set already
    void regionAsked(session::RegionKind kind);

protected:
    void resizeEvent(QResizeEvent*) override;

private:
    void refresh();
    void refreshZoom();
    void refreshGain();
    void setGainStep(qsizetype step);

    DeskState& m_state;
    FrameView& m_view;
    Label *m_number, *m_of, *m_distance;
    QWidget* m_fromPress;
    ChoiceBox *m_gain, *m_zoom;
    QPushButton *m_lamp, *m_screen, *m_regions;
};

} // namespace ui
